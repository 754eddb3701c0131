#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "loopread/colour/spaces.h"
#include "loopread/fabric/fabric.h"
#include "loopread/shape/rounds.h"

namespace loopread {

/// Under this a fabric reads as one colour. chosen: grade 3-4 of the grey scale for change in colour
/// [ISO 105-A02], a difference of 2.5.
inline constexpr double kOneColourRange = 2.5;
/// Fewer stitches in a round than this: nine neighbouring lags would be most of the round.
inline constexpr int kFewestStitches = 16;
inline constexpr std::size_t kFewestRounds = 3;
/// Leans of up to so many stitches a round are looked for.
inline constexpr int kWidestLean = 4;

/// What the eye makes of a fabric: the parts of its colour variance, which add to 1 (all 0 for a constant fabric).
struct Shares {
    double stripe = 0;           ///< between rounds: eta squared of a one-way analysis of variance
    double pool = 0;             ///< within rounds, the same again in the round above, `lean` stitches on
    double dash = 0;             ///< within rounds, the same 4 stitches later along the yarn, not stacked
    double speckle = 0;          ///< the rest
    int lean = 0;                ///< stitches a round; 0 stacks upright, over 0 leans left going up, seen from outside
    double colour_range = 0;     ///< root mean square distance from the mean, in CIELAB units
    double fade = 0;             ///< the part of stripe that is left when round means are smoothed over 24 rounds
    double wiggle = 0;           ///< as pool, for columns that wander: the lean is chosen anew for every round
    double pooled_contrast = 0;  ///< colour_range x sqrt(pool)
    std::string why_none;        ///< not empty where no shares can be given: the reason, in plain words
};

/// Whole rounds of one stitch count, one after another.
struct PlainRounds {
    int stitches = 0;  ///< in a round
    Worked worked = Worked::in_the_round;
    std::vector<Lab> stitch;  ///< in the order knitted
    /// Index in `stitch` at which each stretch (leg, foot) begins, the first 0, rising, each at the start of a round.
    /// The last round of one stretch and the first of the next are no neighbours. Back and forth, a stretch begins with
    /// a row that runs on, every second row runs back.
    std::vector<std::size_t> stretch_starts;

    std::size_t rounds() const { return stitches > 0 ? stitch.size() / static_cast<std::size_t>(stitches) : 0; }
};

/// The complete plain rounds of the widest stitch count that at least three of them share (if no three do: the widest).
/// A stretch of rows that begins with one that runs back goes without that row. Empty where there is no plain round.
PlainRounds plain_rounds(const Fabric& fabric);

/// The four shares and what goes with them.
///
/// A lean of e pairs stitch k of the yarn with stitch k + N + e; back and forth, a stitch with that e places further
/// left in the row above. Of leans that pool equally (within 1e-9) the most upright counts, then the one to the left.
/// Wiggle pairs stitches within two neighbouring rounds only; its comparison shuffles all rounds, seeded, as often as
/// it takes to compare 64 pairs.
/// @throws contract unless `rounds` holds whole rounds and its stretches are as said there
Shares shares(const PlainRounds& rounds);

}  // namespace loopread
