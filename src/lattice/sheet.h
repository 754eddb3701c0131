#pragma once

#include "loopread/base/grid.h"

namespace loopread {

/// A slope across and down.
struct Slope {
    double x = 0, y = 0;
};

/// A smooth number over a picture, known at every `step` pixels from its top left, straight in between and beyond.
struct Sheet {
    Grid<double> values;  ///< at least 2 x 2
    double step = 8;

    double at(double x, double y) const;
    Slope slope(double x, double y) const;
};

/// A sheet that covers width x height pixels.
Sheet empty_sheet(double width, double height, double step);
/// Rows and columns changed round.
Sheet transposed(const Sheet& sheet);

}  // namespace loopread
