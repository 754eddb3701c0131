#pragma once

#include "loopread/image/image.h"

namespace loopread {

/// Which edges of a photographed blank were seen to curl.
struct CurledEdges {
    bool left = false, right = false, top = false, bottom = false;

    bool any() const { return left || right || top || bottom; }
};

struct EdgesReadInside {
    Image picture;
    CurledEdges curled;
};

/// Colours of the outermost stitches read a margin in from the edge, since edges of knitting curl and show their
/// underside: the outer half of each takes the colours of its inner half. An edge curls further than that where it is
/// darker than the stitches next to it nearly everywhere, or differs from them by far more than those from the ones
/// after them: then the outermost stitch takes the next one's colours. A border painted just one stitch wide looks the
/// same and is lost: that is why `curled` is to be told.
/// @param picture  stitches x rows on a regular grid, from edge to edge, the shade of loops taken off; 3 or more each
///                 way and 2 pixels or more a stitch (require)
EdgesReadInside edges_read_inside(const Image& picture, int stitches, int rows);

}  // namespace loopread
