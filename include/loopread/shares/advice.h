#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "loopread/shares/knitters.h"

namespace loopread {

/// At most so many knitters pool where a round length is called clear. chosen: one in ten.
inline constexpr double kClearRisk = 0.10;
/// Yarn in a round of a usual sock, which customers knit. common practice, no source.
inline constexpr double kShortestRoundMm = 750;
inline constexpr double kLongestRoundMm = 1000;

/// What is to be feared at one round length: the worse of the strands.
struct RoundRisk {
    int stitches = 0;
    double yarn_per_round_mm = 0;
    double risk = 0;  ///< share of the knitters whose fabric pools
    double pool = 0;
    bool known = true;  ///< false: too few rounds or stitches to tell
};
/// @param sweeps  one a strand, over the same stitch counts (require)
std::vector<RoundRisk> round_risks(std::span<const std::vector<SweepPoint>> sweeps);

/// Neighbouring round lengths that are all clear.
struct ClearStretch {
    double from_mm = 0, to_mm = 0;  ///< of its first and last stitch count
    std::vector<int> fours;         ///< the stitch counts in fours among them
};
/// @param risks  rising in stitches
std::vector<ClearStretch> clear_stretches(const std::vector<RoundRisk>& risks);
/// "79 to 83 cm: 60 and 64 stitches"
std::string stretch_in_words(const ClearStretch& stretch);

/// "37 of 100 knitters"
std::string knitters_of_hundred(double risk);

/// "60, 64 and 68".
std::string counts_in_words(const std::vector<int>& counts);

struct AskedRound {
    int stitches = 0;
    double yarn_per_round_mm = 0;
};
/// The clear stitch count nearest to the asked-for one, in fours if there is one; none if no length is clear. 0 steps:
/// the asked-for count itself is clear.
std::optional<int> nearest_clear_count(const std::vector<RoundRisk>& risks, const AskedRound& asked);

/// "33 of 100 knitters would see pools at your 84.9 cm."
std::string risk_in_words(const std::vector<RoundRisk>& risks, const AskedRound& asked);

/// What a knitter can do, a paragraph each: measure a round, nearest clear counts, another needle, alternating.
/// @param alternated  risk at the asked-for round when balls are alternated, if that was worked out
std::vector<std::string> knitting_advice(const std::vector<RoundRisk>& risks, const AskedRound& asked,
                                         std::optional<double> alternated = std::nullopt);

/// How far apart two balls of one blank are, over the chance of how their strands wound, as mean CIEDE2000 along them.
struct PairRange {
    double least = 0, most = 0;
};
/// Identical or no more than alike, as a range; never a promise.
std::string pair_in_words(const std::optional<PairRange>& pair);

}  // namespace loopread
