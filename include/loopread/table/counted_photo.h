#pragma once

#include <string>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/image/image.h"
#include "loopread/lattice/shade.h"
#include "loopread/table/source_picture.h"

namespace loopread {

/// A photo of a blank whose stitches were counted.
struct CountedPhoto {
    CellCount cells;           ///< as they lie before us; 0 x 0 if they could not be counted
    double confidence = 0;     ///< of the count
    std::string why_not;       ///< in plain words; empty if they were counted
    bool upside_down = false;  ///< the V's open away from the ravel edge, for sure
    Image flat;  ///< the ravel edge on top, each stitch where it belongs, the shade of its loops taken off;
                 ///< empty if they were not counted
};

/// @param corners  of the blank in the photo, clockwise from the upper left; none: it fills the photo
/// @param edge     where in the photo it comes apart
/// @param undyed   what lies under transparent pixels
/// @throws Error(input) as flat_size
CountedPhoto counted_photo(const SourcePicture& photo, const std::vector<PicturePoint>& corners, RavelEdge edge,
                           LinearRgb undyed);

}  // namespace loopread
