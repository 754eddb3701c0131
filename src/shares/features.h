#pragma once

#include <optional>

#include "loopread/shares/shares.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What one would count on a fabric. Empty where there is nothing to count.

/// Places where the round means change by more than so much (CIELAB) within four rounds: borders of broad stripes. A fade
/// has none, however far it goes.
std::size_t sharp_borders(const PlainRounds& rounds, double least_difference);

/// Rounds that a stripe is high: runs of round means within a colour difference, the slivers between two stripes added
/// to their neighbours.
std::optional<double> stripe_height(const PlainRounds& rounds, double colour_range);

/// Stitches that a pool is wide, the narrower of pool and ground: runs along a round after four rounds have been laid
/// over each other along the lean.
std::optional<double> pool_width(const PlainRounds& rounds, int lean);

/// How well a round looks like the next but one, at the best of the nine leans, 0 .. 1: diamonds and zigzags, whose
/// colours come back every second row, and columns that every other round leaves out.
double second_round_correlation(const PlainRounds& rounds);

/// Stitches that pools lean a round, to a part of a stitch: where rounds some way apart look alike.
/// @param lean  in whole stitches; the finer one lies within one of it
double fine_lean(const PlainRounds& rounds, int lean);

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
