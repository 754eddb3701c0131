#pragma once

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cstdint>
#include <sstream>
#include <string>

/// Properties: sentences that hold for whatever values are drawn, and the values drawn for them.
namespace loopread::properties {

inline constexpr int kCases = 200;

/// Nothing on the screen while values are tried.
class Silence final : public rc::detail::TestListener {
public:
    void onTestCaseFinished(const rc::detail::CaseDescription&) override {}
    void onShrinkTried(const rc::detail::CaseDescription&, bool) override {}
    void onTestFinished(const rc::detail::TestMetadata&, const rc::detail::TestResult&) override {}
};

/// A property that draws its values with `*generator`; one that fails is told with the smallest values that break it.
/// The seed is fixed, not taken from the environment: the same values on every machine.
template <class Property>
void holds(const Property& property, int cases = kCases) {
    rc::detail::TestParams params;
    params.seed = 20'240'611;
    params.maxSuccess = cases;
    Silence silence;
    const rc::detail::TestResult result =
        rc::detail::checkProperty(rc::detail::toProperty(property), rc::detail::TestMetadata{}, params, silence, {});
    std::ostringstream words;
    rc::detail::printResultMessage(result, words);
    CHECK_MESSAGE(result.is<rc::detail::SuccessResult>(), words.str());
}

/// A whole number from `least` to `most`, both included.
inline int whole_in(int least, int most, const std::string& name) {
    return *rc::gen::inRange(least, most + 1).as(name);
}

/// A number from `least` to `most` in ten thousand steps, so that a failure is told in short figures.
inline double number_in(double least, double most, const std::string& name) {
    constexpr int kSteps = 10'000;
    return least + (most - least) * whole_in(0, kSteps, name) / kSteps;
}

inline std::uint64_t any_seed(const std::string& name) {
    return static_cast<std::uint64_t>(whole_in(0, 1'000'000, name));
}

}  // namespace loopread::properties
