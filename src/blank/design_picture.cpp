#include "loopread/blank/design_picture.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/image/sampling.h"

namespace loopread {

Image design_picture(const Paint& paint, int rows) {
    require(rows > 0, "a picture has rows");
    const BlankRaster& raster = paint.raster;
    const int columns = std::max(1, static_cast<int>(std::lround(rows * raster.columns * raster.mm_per_column /
                                                                 (raster.rows * raster.mm_per_row))));
    constexpr int kFiner = 3;  // looked up finer than shown, so that edges stay soft
    const int fine_rows = std::min(raster.rows, rows * kFiner);
    const int fine_columns = std::min(raster.columns, columns * kFiner);
    Image fine(fine_rows, fine_columns);
    for (int row = 0; row < fine_rows; ++row)
        for (int column = 0; column < fine_columns; ++column)
            fine(row, column) =
                yarn_colour(paint, (column + 0.5) / fine_columns * raster.columns * raster.mm_per_column,
                            (row + 0.5) / fine_rows * raster.rows * raster.mm_per_row, {.painted = 1, .other = 0});
    return resampled(fine, {0, 0, static_cast<double>(fine_columns), static_cast<double>(fine_rows)}, rows, columns);
}

Picture8 stencil_picture(const Plane& amount, double strength) {
    Picture8 picture(amount.rows(), amount.columns());
    for (int row = 0; row < amount.rows(); ++row)
        for (int column = 0; column < amount.columns(); ++column) {
            const double part = strength > 0 ? std::clamp(amount(row, column) / strength, 0.0, 1.0) : 0.0;
            const auto grey = static_cast<std::uint8_t>(std::lround(255 * (1 - part)));
            picture(row, column) = {grey, grey, grey};
        }
    return picture;
}

}  // namespace loopread
