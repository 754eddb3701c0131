#pragma once

#include <cstdint>
#include <vector>

#include "loopread/colour/palette.h"
#include "loopread/image/image.h"

namespace loopread {

/// A picture as patches of few colours.
struct Patches {
    std::vector<PaletteColour> colours;  ///< largest share first; the mean away from edges
    Grid<int> owner;                     ///< of each pixel: an index into `colours`
};

/// Each pixel with the nearest colour of the palette. What merely lies between two colours along their edge, softened
/// or crept, goes to them: bands under five pixels wide whose colour lies between their neighbours', and whatever is
/// thinner than two pixels or smaller than sixteen (chosen; a stitch has eight pixels by about six).
/// @param picture  eight pixels a stitch (blank_raster); not empty (require)
/// @param most     colours; 1 or more (require)
Patches patches_of(const Image& picture, int most, std::uint64_t seed);

}  // namespace loopread
