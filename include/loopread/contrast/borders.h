#pragma once

#include <cstddef>
#include <vector>

#include "loopread/contrast/patches.h"
#include "loopread/overdye/visible.h"

namespace loopread {

struct PixelPlace {
    int row = 0, column = 0;
};

/// One pixel's length of border between two patches.
struct BorderPoint {
    PixelPlace place;                                     ///< the pixel left of the border, or above it
    enum class Lies { right, below } lies = Lies::right;  ///< of that pixel: an upright or a level piece of border
    std::size_t first = 0, second = 0;                    ///< patch at `place`, patch across
    PixelPlace in_first, in_second;  ///< where each side's own colour is read: up to half a stitch in
    /// A fade has no edge: its colours step by less than 1.5 (CIEDE2000) over a stitch, or by less than half of what
    /// they do over three (chosen).
    enum class Step { edge, fade } step = Step::edge;
    Apart apart;  ///< of the two sides there
};

/// Every piece of border between patches.
/// @param picture  the one the patches are of
std::vector<BorderPoint> border_points(const Image& picture, const Patches& patches, double lost_under);

enum class PairVerdict { holds, lost, fade };

/// Two patches that have a border in common; the darker one first.
struct NeighbourPair {
    std::size_t darker = 0, lighter = 0;
    double border_share = 0;  ///< of all borders of the picture
    double edge_share = 0;    ///< of their border: what is an edge and no fade
    double lost_share = 0;    ///< of those edges: what is lost where it lies
    Apart apart;              ///< of the two colours as they are told, in 8 bits a channel
    PairVerdict verdict = PairVerdict::lost;
};

/// Pairs with at least half a percent of all borders, longest border first. A border that is an edge on less than
/// half of its length is a fade (chosen).
std::vector<NeighbourPair> neighbour_pairs(const std::vector<BorderPoint>& points, const Patches& patches,
                                           double lost_under);

/// A colour as files tell it.
LinearRgb as_told(LinearRgb colour);

/// Corner points of an edge that runs on, in pixels from the top left.
using EdgeLine = std::vector<PixelPlace>;
/// The lost edges as lines: row and column of pixel corners, one a pixel.
std::vector<EdgeLine> lost_lines(const std::vector<BorderPoint>& points);

}  // namespace loopread
