#pragma once

#include "loopread/image/image.h"
#include "loopread/image/sampling.h"
#include "loopread/lattice/shade.h"

namespace loopread {

/// What the colours of two pictures say of whether they show one blank.
enum class Agreement {
    agree,         ///< they go together, stitch by stitch
    nothing_told,  ///< one of them is too plain to say
    unlike         ///< both have a pattern, and it is not the same one
};

/// Two pictures of one blank laid on each other.
struct RegisteredSides {
    Agreement agreement = Agreement::nothing_told;
    double correlation = 0;                ///< of their colours as laid, -1..1
    double next_best = 0;                  ///< the same in the best pose that was not taken
    QuarterTurn turn = QuarterTurn::none;  ///< that brings the moved picture onto the fixed one
    bool either_pose = false;              ///< another pose agrees as well: nothing but habit tells
    Image moved;                           ///< size of the fixed picture, each stitch on its own
    double mean_shift = 0;                 ///< stitches that places had to be moved, their edges on each other before
    double largest_shift = 0;
};

/// Lays one picture of a blank on another, by its colours.
///
/// The pose is the one in which the colours of whole stitches correlate best; then windows of stitches are moved until
/// they correlate best, and one smooth surface is fitted to all of them, each counting only in the directions in which
/// its colours hold it fast: stripes say nothing of places along them. Where the colours do not agree the edges are
/// laid on each other, unturned (or at the quarter turn that fits the shape).
/// @param fixed   stitches upright, from edge to edge
/// @param moving  the same blank from edge to edge as seen through from the fixed side (a photo of the other side
///                mirrored), turned in any way
/// @param cells   stitches and rows of the fixed picture, at least 4 each (require); about will do
RegisteredSides registered(const Image& fixed, const Image& moving, CellCount cells);

}  // namespace loopread
