#pragma once

#include <algorithm>

#include "loopread/base/quantity.h"
#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/colour/spaces.h"
#include "loopread/image/sampling.h"

namespace loopread {

// What is taken where nothing is said. No source for any of these figures: options all.
inline constexpr int kPixelsPerStitch = 8;
inline constexpr Millimetres kDesignCreep{2.0};     ///< of a design; in a photo paint has crept already
inline constexpr double kDefaultWrap = 0.7;         ///< how far paint goes round a thread
inline constexpr double kDefaultPenetration = 0.4;  ///< of paste
inline constexpr Srgb8 kUndyedWool{0xf3, 0xed, 0xe0};
/// A picture and a blank whose shapes differ by more than this are told of.
inline constexpr double kShapesDiffer = 0.10;

/// The fit where none is asked for: the picture is the blank, but a quarter turn is tiled at true scale.
inline Fit usual_fit(QuarterTurn rotate) {
    const bool quarter = rotate == QuarterTurn::clockwise_90 || rotate == QuarterTurn::clockwise_270;
    return quarter ? Fit::tile : Fit::stretch;
}

/// Whole-number reduction of a picture that leaves a stitch its pixels.
inline int shrink_of(int picture_width, int picture_height, const Lay& lay, const BlankLayout& layout) {
    Lay filling = lay;
    if (lay.fit == Fit::tile) filling.rotate = QuarterTurn::none;  // at the scale at which the upright picture fills
    const TurnedSize size = turned_size(picture_width, picture_height, filling);
    const double per_stitch = static_cast<double>(size.width) / layout.columns();
    const double per_row = lay.fit == Fit::tile ? per_stitch * (layout.course_spacing / layout.wale_spacing)
                                                : static_cast<double>(size.height) / layout.rows;
    return std::max(1, static_cast<int>(std::min(per_stitch, per_row * 1.3) / kPixelsPerStitch));
}

/// The paint as it sets: picture and layers spread sideways, the ground stays.
inline Paint crept(Paint paint, Millimetres creep) {
    const RasterBlur blur = creep_blur(creep, paint.raster);
    if (!(blur.sigma_x > 0 || blur.sigma_y > 0)) return paint;
    if (paint.picture) paint.picture = blurred(*paint.picture, blur.sigma_x, blur.sigma_y);
    for (DyeLayer& layer : paint.layers) layer.amount = blurred(layer.amount, blur.sigma_x, blur.sigma_y);
    return paint;
}

}  // namespace loopread
