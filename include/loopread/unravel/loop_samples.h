#pragma once

#include <array>
#include <cstddef>

#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/unravel/order.h"
#include "loopread/yarn/run.h"

namespace loopread {

inline constexpr std::size_t kSamplesPerPart = 4;  ///< chosen: 16 a loop, where the paint raster has 8 pixels a stitch
/// Sinker arc, leg, needle arc, leg: of a loop's yarn, in the order it comes off.
inline constexpr std::array<double, 4> kPartShare{kArcShare, kLegShare, kArcShare, kLegShare};

/// One place along the loop, the same for every loop that runs to the right.
struct LoopSample {
    double along = 0;   ///< share of the loop's yarn from its beginning
    double place = 0;   ///< from mid sinker
    double ahead = 0;   ///< in the direction of travel, wale spacings from the loop's middle
    double raised = 0;  ///< towards the ravel edge
};
using LoopSamples = std::array<LoopSample, 4 * kSamplesPerPart>;
LoopSamples loop_samples(const LoopShape& shape);

/// The four pieces of the loop-th loop to come off, without their colours; the last ends where the next loop begins, to
/// the bit.
std::array<Piece, 4> loop_pieces(const BlankLayout& layout, const LoopPlace& place, std::size_t loop);

/// Whether what the other side shows is known too, or only the painted side.
enum class SidesKnown { painted, both };

/// What the painted side and the other one show of a strand at a place of a loop.
/// @param angle  of winding, counted along the yarn
SeenShares seen_shares(const BlankLayout& layout, const CellShares& shares, SidesKnown known, const LoopPlace& loop,
                       int strand, double place, double angle);

}  // namespace loopread
