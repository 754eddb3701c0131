#pragma once

#include "loopread/base/grid.h"
#include "loopread/image/image.h"

namespace loopread {

using Field = Grid<float>;

/// Mean of the three channels: relief dims all of them alike.
Field grey(const Image& image);
/// 2 x 2 pixels become one; an odd last row or column is left out.
Field halved(const Field& field);
/// Turned clockwise, as QuarterTurn::clockwise_90.
Field turned_clockwise(const Field& field);

/// The knitted relief without the dye on it.
struct Relief {
    Field contrast;   ///< log light less its surroundings, over its usual strength; less where dye or noise is louder
    Field slant;      ///< -: yarn runs like a backslash (left legs of V's), +: like a slash; about -1..1
    Field steepness;  ///< +: yarn runs up and down (legs), -: across (arcs); about -1..1
};

/// @param stitch  about how wide a stitch is, pixels
Relief relief_of(const Field& light, double stitch);
/// Its slant alone.
Field slant_of(const Field& light, double stitch);

}  // namespace loopread
