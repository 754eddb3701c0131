#pragma once

#include "loopread/image/image.h"

namespace loopread {

/// An axis-parallel rectangle in pixels; pixel (0, 0) covers [0, 1) x [0, 1).
struct PixelBox {
    double left = 0, top = 0, right = 0, bottom = 0;
};

/// Clockwise quarter turns and then a left-right flip: the only moves that lose nothing.
enum class QuarterTurn { none, clockwise_90, clockwise_180, clockwise_270 };
template <class T>
Grid<T> turned(const Grid<T>& image, QuarterTurn turn) {
    const bool on_its_side = turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270;
    const int rows = image.rows(), columns = image.columns();
    Grid<T> result(on_its_side ? columns : rows, on_its_side ? rows : columns);
    for (int r = 0; r < result.rows(); ++r)
        for (int c = 0; c < result.columns(); ++c) {
            switch (turn) {
                case QuarterTurn::none:
                    result(r, c) = image(r, c);
                    break;
                case QuarterTurn::clockwise_90:
                    result(r, c) = image(rows - 1 - c, r);
                    break;
                case QuarterTurn::clockwise_180:
                    result(r, c) = image(rows - 1 - r, columns - 1 - c);
                    break;
                case QuarterTurn::clockwise_270:
                    result(r, c) = image(c, columns - 1 - r);
                    break;
            }
        }
    return result;
}
template <class T>
Grid<T> mirrored(const Grid<T>& image) {
    Grid<T> result(image.rows(), image.columns());
    for (int r = 0; r < image.rows(); ++r)
        for (int c = 0; c < image.columns(); ++c) result(r, c) = image(r, image.columns() - 1 - c);
    return result;
}

/// Mean over the boxes of a rows x columns raster laid over `box` of the image (area average, in linear light).
/// Outside the image its edge goes on. @throws contract: image not empty, rows and columns over 0, box not empty
Image resampled(const Image& image, const PixelBox& box, int rows, int columns);
Plane resampled(const Plane& plane, const PixelBox& box, int rows, int columns);

/// The colour at a point by bilinear interpolation between pixel middles; the edge is held constant beyond it.
LinearRgb at(const Image& image, double x, double y);
double at(const Plane& plane, double x, double y);

/// Gaussian blur of standard deviation `sigma_x`, `sigma_y` in pixels, the edge held constant; 0 leaves it as it is.
Image blurred(const Image& image, double sigma_x, double sigma_y);
Plane blurred(const Plane& plane, double sigma_x, double sigma_y);

}  // namespace loopread
