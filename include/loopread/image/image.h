#pragma once

#include "loopread/base/grid.h"
#include "loopread/colour/spaces.h"

namespace loopread {

/// A picture as light; row 0 on top.
using Image = Grid<LinearRgb>;
/// One number a pixel: a stencil's coverage in [0, 1], a weight, a mask.
using Plane = Grid<double>;
/// A picture as files store it.
using Picture8 = Grid<Srgb8>;

Picture8 encoded(const Image& image);
Image decoded(const Picture8& picture);

}  // namespace loopread
