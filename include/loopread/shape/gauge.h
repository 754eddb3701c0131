#pragma once

#include "loopread/base/quantity.h"

namespace loopread {

/// Stitches and rows in 10 cm of knitting.
struct Gauge {
    double stitches = 32;
    double rows = 42;

    Millimetres stitch_width() const { return {100 / stitches}; }
    Millimetres row_height() const { return {100 / rows}; }
};

/// @throws Error(usage) unless both figures are over 0 and at most 200 (chosen: four times the finest hand knitting)
/// and neither is over five times the other
void check_gauge(const Gauge& gauge);

/// Whole rounds nearest to a length. @throws as check_gauge
int rounds_over(Millimetres length, const Gauge& gauge);

/// Stitches across a width, the nearest multiple (halfway: the larger). @throws as check_gauge
int stitches_over(Millimetres width, const Gauge& gauge, int multiple);

}  // namespace loopread
