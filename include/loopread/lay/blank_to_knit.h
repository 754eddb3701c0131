#pragma once

#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/shape/rounds.h"
#include "loopread/shares/knitters.h"
#include "loopread/unravel/winding.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Which end of a ball is knitted first: the one that came off the blank first, or the other.
enum class FirstEnd { ravel_end, far_end };

/// The asked-for strands, each from the end that is knitted first.
/// @param which  from 1, each one of the strands (require)
std::vector<ColourRun> runs_to_knit(const std::vector<ColourRun>& strands, const std::vector<int>& which,
                                    FirstEnd first_end);

/// A blank and what is to be knitted of it, all but the paint.
struct BlankToKnit {
    BlankLayout layout;  ///< painted on the side asked for
    LoopShape shape;     ///< as drawn
    CellShares shares;   ///< of that shape and so many strands
    WindingOptions winding = {};
    std::vector<int> strands = {1, 2};  ///< which are knitted, from 1
    FirstEnd first_end = FirstEnd::ravel_end;
    int stitches = 64;  ///< in a round
    Millimetres yarn_per_stitch{13};
    Worked worked = Worked::in_the_round;

    /// Length of the simulated knitters' yarn, with room for rounding.
    Millimetres longest_run() const { return layout.strand_length() + Millimetres{1}; }
    SweepPlan sweep_plan(std::vector<int> counts) const { return {std::move(counts), yarn_per_stitch.value, worked}; }
};

/// The runs that are knitted of the blank, painted so on one side.
/// @param paint  crept
std::vector<ColourRun> runs_to_knit(const BlankToKnit& blank, Painted side, const Paint& paint);

}  // namespace loopread
