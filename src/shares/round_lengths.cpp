#include "loopread/shares/round_lengths.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kRounding = 1e-9;  // of a stitch: a round of 75 or 100 cm but for rounding counts
constexpr double kPoolSteps = 20;   // chosen: pools told apart in twentieths

enum class Extreme { fewest_pools, most_pools };

RoundRisk extreme_of(const std::vector<RoundRisk>& risks, int asked, Extreme extreme) {
    const double sign = extreme == Extreme::fewest_pools ? 1 : -1;
    return *std::min_element(risks.begin(), risks.end(), [&](const RoundRisk& a, const RoundRisk& b) {
        if (a.known != b.known) return a.known;
        const double risk_a = sign * a.risk, risk_b = sign * b.risk;
        if (risk_a != risk_b) return risk_a < risk_b;
        const double pool_a = sign * std::round(kPoolSteps * a.pool), pool_b = sign * std::round(kPoolSteps * b.pool);
        if (pool_a != pool_b) return pool_a < pool_b;
        return std::abs(a.stitches - asked) < std::abs(b.stitches - asked);
    });
}

}  // namespace

std::vector<int> usual_counts(Millimetres yarn_per_stitch, int asked) {
    const double yarn = yarn_per_stitch.value;
    require(yarn > 0, "a stitch takes some yarn");
    std::vector<int> counts;
    for (int n = static_cast<int>(std::ceil(kShortestRoundMm / yarn)); n * yarn <= kLongestRoundMm; ++n)
        if (n > 0) counts.push_back(n);
    if (counts.empty()) counts.push_back(asked);
    return counts;
}

std::vector<int> swept_counts(CountRange range, Millimetres yarn_per_stitch, int asked) {
    const double yarn = yarn_per_stitch.value;
    require(yarn > 0, "a stitch takes some yarn");
    const int shortest = std::max(1, static_cast<int>(std::ceil(kShortestRoundMm / yarn - kRounding)));
    const int longest = static_cast<int>(std::floor(kLongestRoundMm / yarn + kRounding));
    std::vector<int> counts;
    for (int n = std::min(range.first, shortest); n <= std::max(range.last, longest); ++n)
        if ((n >= range.first && n <= range.last) || (n >= shortest && n <= longest) || n == asked) counts.push_back(n);
    if (std::find(counts.begin(), counts.end(), asked) == counts.end()) {
        counts.push_back(asked);
        std::sort(counts.begin(), counts.end());
    }
    return counts;
}

bool enough_to_tell(Millimetres shortest, Millimetres yarn_per_stitch, std::span<const int> counts) {
    return std::any_of(counts.begin(), counts.end(), [&](int stitches) {
        const double rounds = shortest / (yarn_per_stitch * stitches);
        return stitches >= kFewestStitches && rounds >= static_cast<double>(kFewestRounds);
    });
}

RoundsToShow rounds_to_show(const std::vector<RoundRisk>& risks, int asked) {
    const auto own = std::find_if(risks.begin(), risks.end(), [&](const RoundRisk& r) { return r.stitches == asked; });
    require(own != risks.end(), "the asked-for count was looked at");
    return {*own, extreme_of(risks, asked, Extreme::fewest_pools), extreme_of(risks, asked, Extreme::most_pools)};
}

}  // namespace loopread
