#include "loopread/unravel/winding.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace loopread;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kClosedForm = 1e-10;  // radians; some hundred turns added up
constexpr int kSeeds = 4000;
constexpr double kSamplingErrors = 3.5;  // about 1 in 2000 seeds' choices would fall outside

Winding winding_of(std::uint64_t seed, double wander, double length = 2000) {
    WindingOptions options;
    options.seed = seed;
    options.wander = Degrees{wander};
    return Winding(options, Millimetres{length});
}

struct Spread {
    double mean = 0, deviation = 0;  // degrees
};

/// Of what the walk adds between two places, over many seeds.
Spread spread_between(double from, double to) {
    double sum = 0, squares = 0;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
        const Winding winding = winding_of(seed, 30);
        const double walked = (winding.angle(to) - winding.angle(from) - 2 * kPi * (to - from) / 100) * 180 / kPi;
        sum += walked;
        squares += walked * walked;
    }
    const double mean = sum / kSeeds;
    return {mean, std::sqrt(squares / kSeeds - mean * mean)};
}

}  // namespace

TEST_SUITE("unravel") {
    TEST_CASE("the same seed winds the same way, another seed another way") {
        const Winding first = winding_of(5, 30), again = winding_of(5, 30), other = winding_of(6, 30);
        double apart = 0;
        for (double x = 0; x < 2000; x += 7.3) {
            REQUIRE(first.angle(x) == again.angle(x));
            apart = std::max(apart, std::abs(first.angle(x) - other.angle(x)));
        }
        CHECK(apart > 0.1);
    }

    TEST_CASE("more yarn does not change how its beginning winds") {
        const Winding shorter = winding_of(5, 30, 500), longer = winding_of(5, 30, 5000);
        for (double x = 0; x < 500; x += 7.3) REQUIRE(shorter.angle(x) == longer.angle(x));
    }

    TEST_CASE("without wander the strands turn evenly, once in 10 cm") {
        const Winding winding = winding_of(3, 0);
        for (double x = 0; x <= 2000; x += 13.7)
            REQUIRE(std::abs(winding.angle(x) - winding.angle(0) - 2 * kPi * x / 100) < kClosedForm);
    }

    TEST_CASE("the walk spreads by 30 degrees in 10 cm, and as the root of the length") {
        const struct {
            double from, to, deviation;
        } kStretches[] = {{0, 100, 30}, {700, 800, 30}, {0, 400, 60}, {300, 1200, 90}};
        for (const auto& stretch : kStretches) {
            const Spread spread = spread_between(stretch.from, stretch.to);
            CAPTURE(stretch.to);
            CHECK(std::abs(spread.deviation - stretch.deviation) <
                  kSamplingErrors * stretch.deviation / std::sqrt(2.0 * kSeeds));
            CHECK(std::abs(spread.mean) < kSamplingErrors * stretch.deviation / std::sqrt(1.0 * kSeeds));
        }
    }

    TEST_CASE("which strand begins on top is left to chance") {
        double x = 0, y = 0;
        for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
            const double angle = winding_of(seed, 30).angle(0);
            x += std::cos(angle) / kSeeds;
            y += std::sin(angle) / kSeeds;
        }
        CHECK(std::hypot(x, y) < kSamplingErrors / std::sqrt(1.0 * kSeeds));
    }
}
