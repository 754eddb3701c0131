#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/colour/palette.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/unravel/winding.h"

namespace loopread {

/// How much of the blank's yarn a painted area takes: shares of all yarn, by length of strand. Yarn is as heavy in one
/// place as in another, so they are shares of its weight too.
struct AreaShare {
    std::string name;
    double strength = 1;              ///< of the layer's dye, 1 = full
    double covered = 0;               ///< lies under the layer, whether the dye reached it or not
    double dyed = 0;                  ///< and took the dye: the D of "Paint to yarn"
    std::vector<double> dyed_strand;  ///< the same of each strand
};

/// Of every layer of the paint, in their order.
/// @param strengths  of each layer, which its amounts were multiplied by; a layer of strength 0 dyes nothing
std::vector<AreaShare> painted_areas(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                                     const CellShares& shares, const WindingOptions& winding,
                                     std::span<const double> strengths);

/// A flat picture of finished colours as layers, one a palette colour, each where it is the nearest: so that its areas
/// can be told. Colours within `of_ground` (CIEDE2000) of the ground are not painted.
struct ColourAreas {
    Paint paint;
    std::vector<PaletteColour> colours;  ///< one a layer
};
ColourAreas colour_areas(const Paint& flat, int most, double of_ground, std::uint64_t seed);

}  // namespace loopread
