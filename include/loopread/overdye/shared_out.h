#pragma once

#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/image/image.h"

namespace loopread {

/// One stencil shared out among several strengths.
struct SharedOut {
    enum class By { motifs, zones } by = By::zones;
    int motifs = 0;            ///< separate ones, 0 where it was shared out by zones
    std::vector<Plane> parts;  ///< one a strength; they add to the whole stencil
};

/// Separate motifs take the strengths in turn, line by line from the ravel edge and from the left within a line; where
/// a stencil has no separate motifs (lay/motifs.h tells), it is cut into equal zones along the blank, the first at the
/// ravel edge. Shapes nearer each other than a third of their usual size are one motif (chosen): the staves of one
/// lantern stay alike.
/// @param amount  over the raster, 0..1
/// @param parts   1 or more (require)
SharedOut shared_out(const Plane& amount, const BlankRaster& raster, int parts);

}  // namespace loopread
