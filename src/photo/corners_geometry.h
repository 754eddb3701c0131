#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "loopread/photo/corners.h"

namespace loopread {

inline PhotoPoint operator+(PhotoPoint a, PhotoPoint b) {
    return {a.x + b.x, a.y + b.y};
}
inline PhotoPoint operator-(PhotoPoint a, PhotoPoint b) {
    return {a.x - b.x, a.y - b.y};
}
inline PhotoPoint operator*(PhotoPoint a, double f) {
    return {a.x * f, a.y * f};
}
inline double cross(PhotoPoint a, PhotoPoint b) {
    return a.x * b.y - a.y * b.x;
}
inline double dot(PhotoPoint a, PhotoPoint b) {
    return a.x * b.x + a.y * b.y;
}
inline double length(PhotoPoint a) {
    return std::hypot(a.x, a.y);
}

inline const PhotoPoint& corner(const Corners& corners, int i) {
    return corners[static_cast<std::size_t>(i & 3)];
}
inline double side(const Corners& corners, int i) {
    return length(corner(corners, i + 1) - corner(corners, i));
}

inline double mean_length(const Corners& c, int which) {
    return (side(c, which) + side(c, which + 2)) / 2;
}

inline bool all_finite(const Corners& c) {
    return std::all_of(c.begin(), c.end(), [](PhotoPoint p) { return std::isfinite(p.x) && std::isfinite(p.y); });
}

/// A projective map of the plane.
struct Homography {
    std::array<double, 9> m{};

    PhotoPoint operator()(PhotoPoint p) const {
        const double w = m[6] * p.x + m[7] * p.y + m[8];
        return {(m[0] * p.x + m[1] * p.y + m[2]) / w, (m[3] * p.x + m[4] * p.y + m[5]) / w};
    }
    /// Up to a factor, which a projective map does not have.
    Homography inverse() const {
        return {{m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                 m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                 m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]}};
    }
};

/// From the unit square, (0, 0) to the top left corner [Heckbert 1989].
inline Homography from_square(const Corners& c) {
    const PhotoPoint d1 = c[1] - c[2], d2 = c[3] - c[2], s = c[0] - c[1] + c[2] - c[3];
    const double den = cross(d1, d2);
    const double g = cross(s, d2) / den, h = cross(d1, s) / den;
    return {{c[1].x - c[0].x + g * c[1].x, c[3].x - c[0].x + h * c[3].x, c[0].x, c[1].y - c[0].y + g * c[1].y,
             c[3].y - c[0].y + h * c[3].y, c[0].y, g, h, 1}};
}

/// Clockwise, the first corner being the one from which the next lies most nearly to the right.
Corners upright_order(Corners corners);

}  // namespace loopread
