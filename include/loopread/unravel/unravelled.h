#pragma once

#include <vector>

#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/unravel/order.h"
#include "loopread/unravel/winding.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Colour along each strand of a blank as it comes off, the end that comes off first at 0.
///
/// @param layout  which loops there are, and their sizes; each loop is layout.loop_length of yarn
/// @param paint   what lies on the painted side
/// @param shape   the drawn loop: where its centreline lies
/// @param shares  what each side shows of each strand; shares.strands() == layout.strands
/// @return        a run per strand of stitches x rows x 4 pieces: sinker, leg, needle, leg with .29/.21/.29/.21 of a
/// loop Validity: both strands look the paint up where the centreline projects; the extra yarn of an edge turn (about 1
/// mm a course) is not modelled.
std::vector<ColourRun> unravelled(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                                  const CellShares& shares, const WindingOptions& winding);

/// How unlike two strands are, piece by piece.
struct PairDifference {
    double mean_de00 = 0;
    double p95_de00 = 0;
};
/// @throws contract unless both have as many pieces
PairDifference pair_difference(const ColourRun& a, const ColourRun& b);

/// The same for strands that wound otherwise, from every `course_step`-th course of the blank: how the strands wind is
/// not known, so a difference between the balls is a range over several windings.
PairDifference pair_difference(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                               const CellShares& shares, const WindingOptions& winding, int course_step);

}  // namespace loopread
