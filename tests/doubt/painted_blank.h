#pragma once

#include <functional>
#include <vector>

#include "loopread/blank/defaults.h"
#include "loopread/doubt/how_sure.h"
#include "loopread/loop/interlacing.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/look.h"
#include "loopread/unravel/unravelled.h"

namespace loopread::doubt_test {

/// A blank with its paint and all that unravelling it needs.
struct PaintedBlank {
    BlankLayout layout;
    Paint paint;
    LoopShape shape;
    CellShares shares;

    std::vector<ColourRun> strands(const WindingOptions& winding = {}) const {
        return unravelled(layout, paint, shape, shares, winding);
    }
    RepaintedBlank repainted() const { return {layout, paint, shape, shares}; }
};

inline BlankLayout layout_of(int stitches, int rows, int strands) {
    BlankLayout layout;
    layout.stitches = stitches;
    layout.rows = rows;
    layout.strands = strands;
    return layout;
}

inline DrawnShape loop_of(const BlankLayout& layout) {
    return drawn_shape({layout.wale_spacing / layout.course_spacing, layout.loop_length / layout.wale_spacing});
}

/// @param colour  of a place of the blank, from 0 to 1 across and along
inline PaintedBlank painted(const BlankLayout& layout, const std::function<Srgb8(double, double)>& colour) {
    Paint paint;
    paint.raster = blank_raster(layout, kPixelsPerStitch);
    paint.ground = Image(1, 1, linear_from_srgb8(kUndyedWool));
    Image picture(paint.raster.rows, paint.raster.columns);
    for (int r = 0; r < picture.rows(); ++r)
        for (int c = 0; c < picture.columns(); ++c)
            picture(r, c) = linear_from_srgb8(colour((c + 0.5) / picture.columns(), (r + 0.5) / picture.rows()));
    paint.picture = std::move(picture);
    const LoopShape shape = loop_of(layout).shape;
    return {layout, std::move(paint), shape, CellShares(shape, layout.strands)};
}

inline constexpr Srgb8 kBuoy{0xc8, 0x2c, 0x3c}, kTide{0x1e, 0x5a, 0xa0};

/// Upright bars: what they knit up as hangs on the yarn in a round.
inline PaintedBlank bars(int strands = 1, int count = 2) {
    return painted(layout_of(24, 90, strands), [count](double across, double) {
        return static_cast<int>(across * 2 * count) % 2 == 0 ? kBuoy : kTide;
    });
}

inline Ranges usual_ranges() {
    Ranges ranges;
    ranges[Unmeasured::wrap] = range_about(0.7, kLeastWrap, kMostWrap);
    ranges[Unmeasured::penetration] = range_about(0.4, kLeastPenetration, kMostPenetration);
    ranges[Unmeasured::turn] = range_about(100, 100 * kLeastTurn, 100 * kMostTurn);
    ranges[Unmeasured::wander] = range_about(30, 30 * kLeastWander, 30 * kMostWander);
    ranges[Unmeasured::yarn] = yarn_without_gauge(32);
    return ranges;
}

inline DoubtedKnitting plain_knitting(int stitches, double yarn_per_stitch_mm, std::vector<int> strands = {1}) {
    DoubtedKnitting knitting;
    knitting.strands = std::move(strands);
    knitting.stitches = stitches;
    knitting.yarn_per_stitch = {yarn_per_stitch_mm};
    knitting.garment = [stitches](Millimetres yarn, Millimetres stitch) {
        return plain_garment({.stitches = stitches, .yarn_per_stitch = stitch}, yarn);
    };
    return knitting;
}

}  // namespace loopread::doubt_test
