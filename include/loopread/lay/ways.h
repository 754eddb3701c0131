#pragma once

#include <string>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/shares/knitters.h"

namespace loopread {

/// One way to lay a design on its blank.
struct Way {
    QuarterTurn rotate = QuarterTurn::none;
    Mirror mirror = Mirror::no;
    Painted painted = Painted::face;

    bool operator==(const Way&) const = default;
};

/// Four rotations, mirrored or not, painted on the knit side or the purl side: 16, as drawn on the knit side first.
std::vector<Way> all_ways();
/// "turned a quarter clockwise, mirrored, on the purl side"; "as drawn, on the knit side".
std::string way_in_words(const Way& way);

/// What the dyer wants of the fabric.
enum class Aim { stripe, dash, speckle, no_pool };

/// How a design knits up, laid so.
struct JudgedWay {
    Way way;
    Shares shares = {};    ///< mean of the strands
    double pool_risk = 0;  ///< the larger of the strands'
    int tie = 0;           ///< ways with the same number do not differ in what is aimed for
    int rank = 0;          ///< from 1; ways that tie are ranked too, the ones nearer to the design as drawn first
};
/// @param strands  the point of each strand at the asked-for stitch count; at least one (require)
JudgedWay judged(const Way& way, const std::vector<SweepPoint>& strands);

/// Two ways tie where their aims lie within this of each other. chosen: shares of one design laid twice over differ by
/// so much with the chance of how the strands wound.
inline constexpr double kTiedShares = 0.03;

/// The ways, best first, with ties and ranks. `no_pool` goes by pool risk, where it ties within twice the binomial
/// standard error of so many knitters, then by pool; the other aims by their share.
/// @param knitters  the pool risks were found with; over 0 (require)
std::vector<JudgedWay> ranked(std::vector<JudgedWay> ways, Aim aim, int knitters);

/// Why the best way is best, against the design as drawn and the worst, in a sentence or two.
/// @param ranked   not empty, best first
/// @param as_drawn  the way the dyer has it now
std::string why_in_words(const std::vector<JudgedWay>& ranked, const Way& as_drawn, Aim aim, int knitters);

}  // namespace loopread
