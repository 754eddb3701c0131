#pragma once

#include <array>

#include "loopread/image/image.h"
#include "loopread/image/sampling.h"

namespace loopread {

/// A picture's colours as three planes to be correlated: OKLab, so that a difference counts as it is seen.
struct ColourPlanes {
    std::array<Plane, 3> planes;

    int rows() const { return planes[0].rows(); }
    int columns() const { return planes[0].columns(); }
};

/// Over a raster, softened by `sigma` of its pixels.
ColourPlanes colour_planes(const Image& picture, int rows, int columns, double sigma);
ColourPlanes turned(const ColourPlanes& planes, QuarterTurn turn);
/// Without what changes more slowly than `sigma` pixels: light, mostly.
ColourPlanes without_slow_changes(const ColourPlanes& planes, double sigma);
/// Root mean square about the mean, the three planes together.
double contrast(const ColourPlanes& planes);

/// Part of a raster.
struct PlaneWindow {
    int top = 0, left = 0, rows = 0, columns = 0;
};
/// A step in whole pixels.
struct PlaneShift {
    int x = 0, y = 0;
};
/// Correlation of the fixed planes in a window with the moving ones so many pixels to the right and down; what falls
/// outside is left out. 0 if less than half is left, or if either is flat.
double correlation(const ColourPlanes& fixed, const ColourPlanes& moving, const PlaneWindow& window, PlaneShift shift);

}  // namespace loopread
