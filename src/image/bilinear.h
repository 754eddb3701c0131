#pragma once

#include <algorithm>

#include "loopread/base/grid.h"

namespace loopread {

/// Bilinear interpolation between pixel middles, the edge held constant beyond them; for loops over many places of an
/// image that is not empty.
template <class T>
inline T bilinear(const Grid<T>& image, double x, double y) {
    // In this order of arguments a value that is not a number becomes 0.
    const double across = std::min(std::max(0.0, x - 0.5), static_cast<double>(image.columns() - 1));
    const double down = std::min(std::max(0.0, y - 0.5), static_cast<double>(image.rows() - 1));
    const int left = static_cast<int>(across), top = static_cast<int>(down);
    const int right = std::min(left + 1, image.columns() - 1), bottom = std::min(top + 1, image.rows() - 1);
    const double u = across - left, v = down - top;
    const T *above = image.row(top), *below = image.row(bottom);
    const double one = u * v, over = u - one, under = v - one;
    return above[left] * (1 - u - under) + above[right] * over + below[left] * under + below[right] * one;
}

}  // namespace loopread
