#pragma once

#include "loopread/base/quantity.h"
#include "loopread/shape/rounds.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Two ends of yarn taken by turns: `every` rounds from the first, as many from the second, and so on.
struct TwoEnds {
    ColourRun first, second;  ///< each from the end that is knitted first
    int every = 2;            ///< rounds; over 0
};

/// The two ends of yarn of a sock that alternates: the near end of one ball and the far end of the other, half of each,
/// since the other sock of the pair takes the other halves.
/// @param near_ball, far_ball  the same ball twice where there is but one
TwoEnds near_and_far(const ColourRun& near_ball, const ColourRun& far_ball, int every);

/// The yarn as the garment takes it up, in one run: up to where either end is used up or the garment is done.
/// @throws contract unless yarn_per_stitch and every are over 0
ColourRun alternated(const TwoEnds& ends, const Garment& garment, Millimetres yarn_per_stitch);

/// A part of a run, from 0 on. @throws contract unless 0 <= from < to <= the run's length
ColourRun part_of(const ColourRun& run, double from_mm, double to_mm);

}  // namespace loopread
