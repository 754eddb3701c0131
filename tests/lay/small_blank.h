#pragma once

#include <cmath>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/lay/blank_to_knit.h"

namespace loopread {

/// A blank of few stitches, two strands of yarn in loops as usual.
inline BlankToKnit small_blank(int stitches, int rows) {
    static const LoopShape shape{LoopProportions{}};
    static const CellShares shares(shape, 2);
    BlankLayout layout;
    layout.stitches = stitches;
    layout.rows = rows;
    return {.layout = layout, .shape = shape, .shares = shares, .yarn_per_stitch = Millimetres{12.73}};
}

inline constexpr int kPixelsPerStitch = 4;

/// Undyed yarn with one layer of dye, over the blank's raster.
inline Paint dyed(const BlankLayout& layout, Plane amount) {
    Paint paint;
    paint.raster = blank_raster(layout, kPixelsPerStitch);
    paint.ground = Image(1, 1, LinearRgb{0.85, 0.8, 0.7});
    paint.layers.push_back({"dye", std::move(amount), {9, 4, 1}, 0.6});
    return paint;
}

/// Discs in upright columns.
/// @param apart_mm  middle to middle, both ways
inline Plane discs(const BlankLayout& layout, double across_mm, double apart_mm) {
    const BlankRaster raster = blank_raster(layout, kPixelsPerStitch);
    Plane amount(raster.rows, raster.columns, 0.0);
    const auto off_middle = [&](double place) { return place - apart_mm * (std::floor(place / apart_mm) + 0.5); };
    for (int r = 0; r < amount.rows(); ++r)
        for (int c = 0; c < amount.columns(); ++c)
            if (std::hypot(off_middle((c + 0.5) * raster.mm_per_column), off_middle((r + 0.5) * raster.mm_per_row)) <
                across_mm / 2)
                amount(r, c) = 1;
    return amount;
}

}  // namespace loopread
