#include "loopread/shares/advice.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

constexpr double kLengthPerNeedle = 0.04;  // a needle 0.25 mm thicker; common practice, no source
constexpr double kNeedleStepMm = 0.25;
constexpr double kMostNeedleChange = 0.75;  // mm; chosen: beyond it the fabric is another one
constexpr double kAlike = 1.0;              // chosen: CIEDE2000 under which the eye finds no difference in knitting
constexpr double kPlain = 4.0;              // chosen: above it single flecks are plainly different

std::string cm(double mm, int decimals = 0) {
    return number_text(mm / 10, decimals) + " cm";
}

std::string of_hundred(double risk) {
    return std::to_string(std::lround(100 * risk));
}

bool clear(const RoundRisk& risk) {
    return risk.known && risk.risk <= kClearRisk;
}

const RoundRisk& at_asked(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    require(!risks.empty(), "there are round lengths");
    return *std::min_element(risks.begin(), risks.end(), [&](const RoundRisk& a, const RoundRisk& b) {
        return std::abs(a.stitches - asked.stitches) < std::abs(b.stitches - asked.stitches);
    });
}

/// The nearest clear count in fours on one side, then any.
std::optional<RoundRisk> nearest_clear(const std::vector<RoundRisk>& risks, int stitches, int side, int multiple) {
    std::optional<RoundRisk> best;
    for (const RoundRisk& risk : risks) {
        const int steps = (risk.stitches - stitches) * side;
        if (steps <= 0 || risk.stitches % multiple != 0 || !clear(risk)) continue;
        if (!best || std::abs(risk.stitches - stitches) < std::abs(best->stitches - stitches)) best = risk;
    }
    return best;
}

std::string counts_advice(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    std::vector<int> counts;
    std::string lengths;
    for (const int side : {-1, 1})
        if (const auto found = nearest_clear(risks, asked.stitches, side, 4)) {
            counts.push_back(found->stitches);
            lengths += (lengths.empty() ? "" : " and ") + cm(found->yarn_per_round_mm);
        }
    if (counts.empty()) return "No stitch count that is a multiple of four is clear over these lengths.";
    return "Nearest clear stitch counts at the same gauge, in multiples of four: " + counts_in_words(counts) + " (" +
           lengths + " of yarn in a round).";
}

/// The thinnest change of needle, this way, that makes the round a clear one.
std::string needle_on(const std::vector<RoundRisk>& risks, const AskedRound& asked, int side) {
    for (int steps = 1; steps * kNeedleStepMm <= kMostNeedleChange + 1e-9; ++steps) {
        const double change = side * steps * kLengthPerNeedle;
        const double length_mm = asked.yarn_per_round_mm * (1 + change);
        const RoundRisk& nearest =
            *std::min_element(risks.begin(), risks.end(), [&](const RoundRisk& a, const RoundRisk& b) {
                return std::abs(a.yarn_per_round_mm - length_mm) < std::abs(b.yarn_per_round_mm - length_mm);
            });
        const double gap_mm = asked.yarn_per_round_mm / asked.stitches;  // between the lengths that were looked at
        if (!clear(nearest) || std::abs(nearest.yarn_per_round_mm - length_mm) > gap_mm) continue;
        return "a needle " + number_text(steps * kNeedleStepMm, 2) + " mm " + (side < 0 ? "thinner" : "thicker") +
               " takes about " + cm(std::abs(change) * asked.yarn_per_round_mm, 1) + (side < 0 ? " less" : " more") +
               " yarn in a round, which is clear";
    }
    return {};
}

std::string needle_advice(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    std::string words;
    for (const int side : {-1, 1}) {
        const std::string one = needle_on(risks, asked, side);
        if (!one.empty()) words += (words.empty() ? "" : "; ") + one;
    }
    if (words.empty()) return {};
    return "Or keep " + std::to_string(asked.stitches) + " stitches: " + words +
           " (a quarter of a millimetre changes a round by about 4 %; common practice, not measured).";
}

}  // namespace

std::string knitters_of_hundred(double risk) {
    return std::to_string(std::lround(100 * risk)) + " of 100 knitters";
}

std::string counts_in_words(const std::vector<int>& counts) {
    std::string words;
    for (std::size_t i = 0; i < counts.size(); ++i)
        words += (i == 0 ? "" : i + 1 == counts.size() ? " and " : ", ") + std::to_string(counts[i]);
    return words;
}

std::vector<RoundRisk> round_risks(std::span<const std::vector<SweepPoint>> sweeps) {
    require(!sweeps.empty(), "there are strands");
    std::vector<RoundRisk> risks;
    for (std::size_t i = 0; i < sweeps.front().size(); ++i) {
        const SweepPoint& first = sweeps.front()[i];
        RoundRisk risk{.stitches = first.stitches, .yarn_per_round_mm = first.yarn_per_round_mm};
        for (const std::vector<SweepPoint>& strand : sweeps) {
            require(strand.size() == sweeps.front().size() && strand[i].stitches == first.stitches,
                    "strands are swept over the same counts");
            risk.risk = std::max(risk.risk, strand[i].pool_risk);
            risk.pool = std::max(risk.pool, strand[i].shares.pool);
            risk.known = risk.known && strand[i].shares.why_none.empty();
        }
        risks.push_back(risk);
    }
    return risks;
}

std::vector<ClearStretch> clear_stretches(const std::vector<RoundRisk>& risks) {
    std::vector<ClearStretch> stretches;
    bool open = false;
    int last = 0;  // stretches hold no count that was not looked at
    for (const RoundRisk& risk : risks) {
        open = open && risk.stitches == last + 1;
        last = risk.stitches;
        if (!clear(risk)) {
            open = false;
            continue;
        }
        if (!open) stretches.push_back({.from_mm = risk.yarn_per_round_mm, .to_mm = 0, .fours = {}});
        open = true;
        stretches.back().to_mm = risk.yarn_per_round_mm;
        if (risk.stitches % 4 == 0) stretches.back().fours.push_back(risk.stitches);
    }
    return stretches;
}

std::string stretch_in_words(const ClearStretch& stretch) {
    const bool point = std::lround(stretch.from_mm / 10) == std::lround(stretch.to_mm / 10);
    std::string words = point ? cm(stretch.from_mm) : number_text(stretch.from_mm / 10, 0) + " to " + cm(stretch.to_mm);
    const std::vector<int>& fours = stretch.fours;
    if (fours.empty()) return words;
    constexpr std::size_t kListed = 4;
    return words + ": " +
           (fours.size() <= kListed ? counts_in_words(fours)
                                    : std::to_string(fours.front()) + ", " + std::to_string(fours[1]) + " ... " +
                                          std::to_string(fours.back())) +
           " stitches";
}

std::optional<int> nearest_clear_count(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    if (risks.empty()) return std::nullopt;
    if (const RoundRisk& own = at_asked(risks, asked); own.stitches == asked.stitches && clear(own))
        return own.stitches;
    for (const int multiple : {4, 1}) {
        const auto fewer = nearest_clear(risks, asked.stitches, -1, multiple);
        const auto more = nearest_clear(risks, asked.stitches, 1, multiple);
        if (fewer && more)
            return asked.stitches - fewer->stitches < more->stitches - asked.stitches ? fewer->stitches
                                                                                      : more->stitches;
        if (fewer) return fewer->stitches;
        if (more) return more->stitches;
    }
    return std::nullopt;
}

std::string risk_in_words(const std::vector<RoundRisk>& risks, const AskedRound& asked) {
    const RoundRisk& own = at_asked(risks, asked);
    const std::string place = "at " + cm(asked.yarn_per_round_mm, 1) + " of yarn in a round (" +
                              std::to_string(asked.stitches) + (asked.stitches == 1 ? " stitch)" : " stitches)");
    if (!own.known)
        return "Nothing can be told of pools " + place + ": it takes " + std::to_string(kFewestStitches) +
               " stitches and " + std::to_string(kFewestRounds) + " rounds.";
    if (std::lround(100 * own.risk) == 0) return "No one of 100 knitters would see marked pools " + place + ".";
    return knitters_of_hundred(own.risk) + " would see marked pools " + place + ".";
}

std::vector<std::string> knitting_advice(const std::vector<RoundRisk>& risks, const AskedRound& asked,
                                         std::optional<double> alternated) {
    std::vector<std::string> advice;
    const RoundRisk& own = at_asked(risks, asked);
    const bool fine = own.known && clear(own);
    advice.push_back(
        "Measure your own round: mark the yarn where a round begins, knit the round, mark the yarn again, unpick and "
        "measure between the marks. Give it as --yarn-per-round. What pools is set by this length, not by the stitch "
        "count alone.");
    if (fine) {
        advice.push_back("Yours is clear: stay with " + std::to_string(asked.stitches) + " stitches.");
    } else if (own.known) {
        advice.push_back(counts_advice(risks, asked));
        if (std::string needle = needle_advice(risks, asked); !needle.empty()) advice.push_back(std::move(needle));
    }
    if (alternated)
        advice.push_back(
            "Alternating the near end of one ball with the far end of the other: " + knitters_of_hundred(*alternated) +
            " would see pools" + (own.known ? ", against " + of_hundred(own.risk) + " without" : "") +
            ". A pair takes four ends, two from each ball.");
    else if (own.known && !fine)
        advice.push_back(
            "Or break pools by alternating two ends of yarn every other round (--alternate 2 shows it). Both balls "
            "carry the same colours in the same order: take the near end of one and the far end of the other.");
    return advice;
}

std::string pair_in_words(const std::optional<PairRange>& pair) {
    if (!pair) return "One strand: both socks come from one ball.";
    const std::string figure = " (colour difference " + number_text(pair->least, 1) + " to " +
                               number_text(pair->most, 1) + ", CIEDE2000, by the chance of how the strands wound)";
    if (pair->most < kAlike) return "Ball A and ball B are as good as identical" + figure + ".";
    return std::string(
               "Ball A and ball B are alike, though no twins: they share every run of colour, their flecks differ") +
           (pair->least > kPlain ? " plainly" : "") + figure + ".";
}

}  // namespace loopread
