#include "loopread/lay/change.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

constexpr double kFaint = 2 * kOneColourRange;  // chosen: colour range under which a pattern is hard to see
constexpr int kNearCount = 8;                   // chosen: stitches by which a knitter would change a sock

const RoundRisk* risk_at(const std::vector<RoundRisk>& risks, int stitches) {
    const auto found =
        std::find_if(risks.begin(), risks.end(), [&](const RoundRisk& r) { return r.stitches == stitches; });
    return found == risks.end() ? nullptr : &*found;
}

/// The nearest clear count that a knitter would change to: in fours if there is one, else any.
const RoundRisk* clear_count_near(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    const RoundRisk* best = nullptr;
    const auto rank = [&](const RoundRisk& risk) {
        return std::pair(risk.stitches % 4 != 0, std::abs(risk.stitches - asked.stitches));
    };
    for (const RoundRisk& risk : risks) {
        const int steps = std::abs(risk.stitches - asked.stitches);
        if (steps == 0 || steps > kNearCount || !risk.known || risk.risk > kClearRisk) continue;
        if (best == nullptr || rank(risk) < rank(*best)) best = &risk;
    }
    return best;
}

std::string at_the_asked_round(const std::vector<RoundRisk>& risks, const AskedRound& asked, double risk,
                               const std::vector<JudgedWay>& ways, const Way& as_asked) {
    if (const RoundRisk* other = clear_count_near(risks, asked))
        return "Knit " + std::to_string(other->stitches) + " stitches instead of " + std::to_string(asked.stitches) +
               " (" + number_text(other->yarn_per_round_mm / 10, 0) + " cm of yarn in a round): it then pools for " +
               knitters_of_hundred(other->risk) + " instead of " + std::to_string(std::lround(100 * risk)) + ".";
    const auto own = std::find_if(ways.begin(), ways.end(), [&](const JudgedWay& w) { return w.way == as_asked; });
    if (own != ways.end() && own->tie != ways.front().tie && ways.front().pool_risk <= kClearRisk)
        return "Lay the design " + way_in_words(ways.front().way) + ": it then pools for " +
               knitters_of_hundred(ways.front().pool_risk) + " instead of " + std::to_string(std::lround(100 * risk)) +
               ".";
    const std::string tried = own == ways.end()
                                  ? ", and no stitch count near by helps: try another lay, or loopread lay --nudge, or "
                                  : ", and neither a stitch count near by nor another lay helps: try loopread lay "
                                    "--nudge, or ";
    return "It pools for " + knitters_of_hundred(risk) + tried + "alternate two ends of yarn.";
}

/// A pattern that the eye follows from round to round though it does not count as pooling.
std::string about_weak_pools(const Verdict& verdict, const std::vector<JudgedWay>& ways, const Way& as_asked) {
    std::string words = verdict.slants
                            ? "The pattern slants: its colours move too far from round to round to count as pooling."
                            : "What stacks is too little or too soft to count as pooling.";
    const auto own = std::find_if(ways.begin(), ways.end(), [&](const JudgedWay& w) { return w.way == as_asked; });
    if (own == ways.end() || ways.front().tie == own->tie || ways.front().shares.pool > own->shares.pool / 2)
        return words;
    return words + " Laid " + way_in_words(ways.front().way) + ", most of it would go (" +
           std::to_string(std::lround(100 * ways.front().shares.pool)) + " % pool instead of " +
           std::to_string(std::lround(100 * own->shares.pool)) + " %).";
}

/// The round of 75 to 100 cm that pools most.
const RoundRisk* worst_usual(const std::vector<RoundRisk>& risks) {
    const RoundRisk* worst = nullptr;
    for (const RoundRisk& risk : risks) {
        const bool usual = risk.yarn_per_round_mm >= kShortestRoundMm && risk.yarn_per_round_mm <= kLongestRoundMm;
        if (usual && risk.known && (worst == nullptr || risk.risk > worst->risk)) worst = &risk;
    }
    return worst;
}

}  // namespace

OneChange one_change(const std::vector<RoundRisk>& risks, const AskedRound& asked, const FabricLook& look,
                     const std::vector<JudgedWay>& ways, const Way& as_asked) {
    if (!look.shares.why_none.empty()) return {false, look.shares.why_none};
    if (look.shares.colour_range < kFaint)
        return {true, "Make the colours differ more: a stronger dye or a lighter ground. As it is the contrast is " +
                          std::string(look.shares.colour_range < kOneColourRange ? "too small to be seen" : "faint") +
                          " (colour range " + number_text(look.shares.colour_range, 1) + ")."};
    const RoundRisk* own = risk_at(risks, asked.stitches);
    require(own != nullptr, "the asked-for round is among the lengths");
    if (own->known && own->risk > kClearRisk)
        return {true, at_the_asked_round(risks, asked, own->risk, ways, as_asked)};
    const RoundRisk* worst = worst_usual(risks);
    if (worst != nullptr && worst->risk > kClearRisk) {
        std::string clear;
        for (const ClearStretch& stretch : clear_stretches(risks))
            if (asked.yarn_per_round_mm >= stretch.from_mm - 1 && asked.yarn_per_round_mm <= stretch.to_mm + 1)
                clear = " Say in the listing that it is clear at " + stretch_in_words(stretch) + ".";
        return {true, "Your own round is clear, but not every customer's: at " +
                          number_text(worst->yarn_per_round_mm / 10, 0) + " cm (" + std::to_string(worst->stitches) +
                          " stitches) it pools for " + knitters_of_hundred(worst->risk) + "." + clear +
                          " A small change to the design may cure it: loopread lay --nudge."};
    }
    if (look.verdict.kind == "pools") return {false, about_weak_pools(look.verdict, ways, as_asked)};
    const bool all_known = std::all_of(risks.begin(), risks.end(), [](const RoundRisk& r) {
        return r.known || r.yarn_per_round_mm < kShortestRoundMm || r.yarn_per_round_mm > kLongestRoundMm;
    });
    return {false, all_known ? "It stays clear of pools at any round of 75 to 100 cm."
                             : "It is clear of pools as far as so little yarn can tell."};
}

}  // namespace loopread
