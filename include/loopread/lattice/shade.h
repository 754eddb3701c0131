#pragma once

#include "loopread/image/image.h"

namespace loopread {

/// How many stitches lie across a picture, and how many rows along it.
struct CellCount {
    int stitches = 0;
    int rows = 0;
};

/// A straightened photo of knitting without the light and shade of its loops, so that shade between loops is not read
/// as dye.
///
/// Every cell is folded into one mean stitch a region, in the logarithm of light about the cell's own mean, and that
/// stitch is divided out of all channels alike: what repeats in every stitch is relief, what does not is dye. Dye that
/// repeats in every stitch at the same place would go too.
/// @param photo  light; cells x stitches lie in it on a regular grid, at least 3 pixels each way (require)
/// @return       the same size; each cell keeps its mean light within its region's scatter
Image without_shade(const Image& photo, CellCount cells);

}  // namespace loopread
