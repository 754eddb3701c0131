#pragma once

#include "loopread/blank/layout.h"
#include "loopread/image/image.h"
#include "loopread/image/sampling.h"

namespace loopread {

/// The side of the upright picture at which the blank comes apart.
enum class RavelEdge { top, right, bottom, left };
enum class Mirror { no, left_right };
/// stretch: the picture is the blank. tile: the picture repeats at its true scale from the ravel edge's left corner.
/// cover: scaled to cover the blank, keeping its shape, middle on middle.
enum class Fit { stretch, tile, cover };

/// How a picture is laid on the blank, in this order: turned so that the ravel edge is on top, rotated clockwise,
/// mirrored left-right, fitted.
struct Lay {
    RavelEdge ravel_edge = RavelEdge::top;
    QuarterTurn rotate = QuarterTurn::none;
    Mirror mirror = Mirror::no;
    Fit fit = Fit::stretch;
};

/// Pixels over the painted side: `columns` x `rows` cover width x length of the blank.
struct BlankRaster {
    int rows = 0;
    int columns = 0;
    double mm_per_column = 0;
    double mm_per_row = 0;
};
/// About `pixels_per_stitch` pixels a wale, square to within rounding.
BlankRaster blank_raster(const BlankLayout& layout, int pixels_per_stitch = 8);

/// The picture as it lies on the blank, one value a raster pixel, averaged in linear light.
Image laid(const Image& picture, const Lay& lay, const BlankLayout& layout, const BlankRaster& raster);
Plane laid(const Plane& picture, const Lay& lay, const BlankLayout& layout, const BlankRaster& raster);

/// The turn that brings the ravel edge to the top.
QuarterTurn turn_to_top(RavelEdge edge);

/// Sides of the picture after turning and rotating.
struct TurnedSize {
    int width = 0, height = 0;
};
TurnedSize turned_size(int width, int height, const Lay& lay);

}  // namespace loopread
