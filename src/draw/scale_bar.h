#pragma once

#include "loopread/draw/canvas.h"

namespace loopread {

struct ScaleBar {
    double x = 0, y = 0;       ///< its top left corner
    double pixels_per_cm = 0;  ///< over 0
    double room = 0;           ///< pixels it may be long
    double letters = 13;       ///< size of its words; the bar is as much thicker
};

/// A bar of a round number of centimetres, half dark and half light, with its length in words.
void draw_scale_bar(Canvas& canvas, const ScaleBar& bar);

}  // namespace loopread
