#include "loopread/blank/lay.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

bool quarter(QuarterTurn turn) {
    return turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270;
}

QuarterTurn sum_of(QuarterTurn a, QuarterTurn b) {
    return static_cast<QuarterTurn>((static_cast<int>(a) + static_cast<int>(b)) % 4);
}

/// Value of a repeating tile at a place in tiles, between pixel middles, going on over the seam.
template <class T>
T in_tile(const Grid<T>& tile, double x_tiles, double y_tiles) {
    const double x = (x_tiles - std::floor(x_tiles)) * tile.columns() - 0.5;
    const double y = (y_tiles - std::floor(y_tiles)) * tile.rows() - 0.5;
    const int left = static_cast<int>(std::floor(x));
    const int top = static_cast<int>(std::floor(y));
    const auto at = [&](int row, int column) {
        return tile((row + tile.rows()) % tile.rows(), (column + tile.columns()) % tile.columns());
    };
    const double right_share = x - left;
    const double bottom_share = y - top;
    return (at(top, left) * (1 - right_share) + at(top, left + 1) * right_share) * (1 - bottom_share) +
           (at(top + 1, left) * (1 - right_share) + at(top + 1, left + 1) * right_share) * bottom_share;
}

template <class T>
Grid<T> tiled(const Grid<T>& picture, double mm_per_pixel, const BlankRaster& raster) {
    const double tile_width = picture.columns() * mm_per_pixel;
    const double tile_height = picture.rows() * mm_per_pixel;
    const int columns = std::max(1, static_cast<int>(std::ceil(tile_width / raster.mm_per_column)));
    const int rows = std::max(1, static_cast<int>(std::ceil(tile_height / raster.mm_per_row)));
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    const Grid<T> tile = resampled(picture, whole, rows, columns);
    Grid<T> out(raster.rows, raster.columns);
    for (int row = 0; row < raster.rows; ++row)
        for (int column = 0; column < raster.columns; ++column)
            out(row, column) = in_tile(tile, (column + 0.5) * raster.mm_per_column / tile_width,
                                       (row + 0.5) * raster.mm_per_row / tile_height);
    return out;
}

template <class T>
Grid<T> laid_out(const Grid<T>& picture, const Lay& lay, const BlankLayout& layout, const BlankRaster& raster) {
    require(!picture.empty(), "there is a picture to lay");
    const QuarterTurn turn = sum_of(turn_to_top(lay.ravel_edge), lay.rotate);
    const bool untouched = turn == QuarterTurn::none && lay.mirror == Mirror::no;
    const Grid<T> moved = untouched                          ? Grid<T>()
                          : lay.mirror == Mirror::left_right ? mirrored(turned(picture, turn))
                                                             : turned(picture, turn);
    const Grid<T>& design = untouched ? picture : moved;
    if (lay.fit == Fit::tile) {
        const int upright_columns = quarter(turn_to_top(lay.ravel_edge)) ? picture.rows() : picture.columns();
        return tiled(design, layout.width().value / upright_columns, raster);
    }
    PixelBox box{0, 0, static_cast<double>(design.columns()), static_cast<double>(design.rows())};
    if (lay.fit == Fit::cover) {
        const double mm_per_pixel =
            std::max(layout.width().value / design.columns(), layout.length().value / design.rows());
        const double spare_x = (design.columns() - layout.width().value / mm_per_pixel) / 2;
        const double spare_y = (design.rows() - layout.length().value / mm_per_pixel) / 2;
        box = {spare_x, spare_y, design.columns() - spare_x, design.rows() - spare_y};
    }
    return resampled(design, box, raster.rows, raster.columns);
}

}  // namespace

BlankRaster blank_raster(const BlankLayout& layout, int pixels_per_stitch) {
    BlankRaster raster;
    raster.columns = layout.columns() * pixels_per_stitch;
    const double pixel = layout.wale_spacing.value / pixels_per_stitch;
    raster.rows = std::max(layout.rows, static_cast<int>(std::round(layout.length().value / pixel)));
    raster.mm_per_column = layout.width().value / raster.columns;
    raster.mm_per_row = layout.length().value / raster.rows;
    return raster;
}

Image laid(const Image& picture, const Lay& lay, const BlankLayout& layout, const BlankRaster& raster) {
    return laid_out(picture, lay, layout, raster);
}

Plane laid(const Plane& picture, const Lay& lay, const BlankLayout& layout, const BlankRaster& raster) {
    return laid_out(picture, lay, layout, raster);
}

QuarterTurn turn_to_top(RavelEdge edge) {
    switch (edge) {
        case RavelEdge::top:
            return QuarterTurn::none;
        case RavelEdge::left:
            return QuarterTurn::clockwise_90;
        case RavelEdge::bottom:
            return QuarterTurn::clockwise_180;
        case RavelEdge::right:
            return QuarterTurn::clockwise_270;
    }
    require(false, "a ravel edge is one of four");
    return QuarterTurn::none;
}

TurnedSize turned_size(int width, int height, const Lay& lay) {
    const bool swapped = quarter(turn_to_top(lay.ravel_edge)) != quarter(lay.rotate);
    return swapped ? TurnedSize{height, width} : TurnedSize{width, height};
}

}  // namespace loopread
