#pragma once

#include <optional>

#include "loopread/shares/shares.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What one would count on a fabric. Empty where there is nothing to count.

/// Places where the round means change by more than so much (CIELAB) within four rounds: borders of broad stripes. A
/// fade has none, however far it goes.
std::size_t sharp_borders(const PlainRounds& rounds, double least_difference);

/// Rounds that a stripe is high: runs of round means within a colour difference, the slivers between two stripes added
/// to their neighbours.
std::optional<double> stripe_height(const PlainRounds& rounds, double colour_range);

/// Stitches that a pool is wide, the narrower of pool and ground: runs along a round after four rounds have been laid
/// over each other along the lean.
std::optional<double> pool_width(const PlainRounds& rounds, int lean);

/// The pattern that stands out within rounds, if any does.
struct StandingPattern {
    double share = 0;       ///< of the variance within rounds, weighted as seen from arm's length, in its one wave
    double lean = 0;        ///< stitches a round, over 0 to the left going up
    bool crossing = false;  ///< as strong leaning the other way: diamonds
};
/// The strongest wave across and along the fabric: power spectra over windows of rounds added up. A lean told from
/// neighbouring rounds can mislead, since a wave that moves by most of its length looks like one that moves back.
StandingPattern standing_pattern(const PlainRounds& rounds);

/// Stitches that a dash is long: runs along the yarn within a round.
std::optional<double> dash_length(const PlainRounds& rounds);

/// Yarn in runs of about one colour that last a round or more.
struct LongRuns {
    std::size_t count = 0;
    double share = 0;    ///< of the yarn
    double mean_mm = 0;  ///< length
};
/// The yarn is averaged over windows (a loop and its flecks); neighbours join a run while they lie within CIEDE2000 5
/// of its mean; a single window between two runs is a border or a fleck and goes to the one before it. A run may miss
/// the length of a round by one window.
LongRuns long_runs(const ColourRun& run, double window_mm, double yarn_per_round_mm);

}  // namespace loopread
