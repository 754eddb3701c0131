#include "sides/features.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace loopread {

ColourPlanes colour_planes(const Image& picture, int rows, int columns, double sigma) {
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    const Image small = blurred(resampled(picture, whole, rows, columns), sigma, sigma);
    ColourPlanes out;
    for (Plane& plane : out.planes) plane = Plane(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            const Oklab colour = oklab_from_linear(small(r, c));
            out.planes[0](r, c) = colour.l;
            out.planes[1](r, c) = colour.a;
            out.planes[2](r, c) = colour.b;
        }
    return out;
}

ColourPlanes turned(const ColourPlanes& planes, QuarterTurn turn) {
    ColourPlanes out;
    for (std::size_t k = 0; k < 3; ++k) out.planes[k] = turned(planes.planes[k], turn);
    return out;
}

ColourPlanes without_slow_changes(const ColourPlanes& planes, double sigma) {
    ColourPlanes out = planes;
    for (Plane& plane : out.planes) {
        const Plane slow = blurred(plane, sigma, sigma);
        std::transform(plane.begin(), plane.end(), slow.begin(), plane.begin(), std::minus<>());
    }
    return out;
}

double contrast(const ColourPlanes& planes) {
    double sum = 0;
    for (const Plane& plane : planes.planes) {
        const auto count = static_cast<double>(plane.size());
        const double mean = std::accumulate(plane.begin(), plane.end(), 0.0) / count;
        for (const double value : plane) sum += (value - mean) * (value - mean) / count;
    }
    return std::sqrt(sum);
}

double correlation(const ColourPlanes& fixed, const ColourPlanes& moving, const PlaneWindow& window, PlaneShift shift) {
    const int top = std::max(window.top, -shift.y), left = std::max(window.left, -shift.x);
    const int bottom = std::min(window.top + window.rows, moving.rows() - shift.y);
    const int right = std::min(window.left + window.columns, moving.columns() - shift.x);
    if (bottom <= top || right <= left || 2 * (bottom - top) * (right - left) < window.rows * window.columns) return 0;
    const double count = static_cast<double>(bottom - top) * (right - left);
    double own = 0, others = 0, common = 0;
    for (std::size_t k = 0; k < 3; ++k) {
        double a_sum = 0, b_sum = 0, aa = 0, bb = 0, ab = 0;
        for (int r = top; r < bottom; ++r) {
            const double* a = fixed.planes[k].row(r);
            const double* b = moving.planes[k].row(r + shift.y) + shift.x;
            for (int c = left; c < right; ++c) {
                a_sum += a[c];
                b_sum += b[c];
                aa += a[c] * a[c];
                bb += b[c] * b[c];
                ab += a[c] * b[c];
            }
        }
        own += aa - a_sum * a_sum / count;
        others += bb - b_sum * b_sum / count;
        common += ab - a_sum * b_sum / count;
    }
    constexpr double kFlat = 1e-8;  // of one pixel: a ten-thousandth of OKLab's range
    if (own < kFlat * count || others < kFlat * count) return 0;
    return common / std::sqrt(own * others);
}

}  // namespace loopread
