#pragma once

#include <algorithm>
#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "photo/corners_geometry.h"
#include "photo/corners_table.h"

namespace loopread::corner_search {

/// A square seen from one of its sides: `along` it clockwise, `depth` inwards.
struct SidePoint {
    double along = 0, depth = 0;
};
PhotoPoint in_square(int which, SidePoint p);

template <class T>
T sample(const cv::Mat_<T>& mat, PhotoPoint p) {
    // In this order of arguments a value that is not a number becomes 0.
    const double x = std::min(std::max(0.0, p.x - 0.5), mat.cols - 1.0);
    const double y = std::min(std::max(0.0, p.y - 0.5), mat.rows - 1.0);
    const int c = std::min(static_cast<int>(x), mat.cols - 2), r = std::min(static_cast<int>(y), mat.rows - 2);
    const float u = static_cast<float>(x - c), v = static_cast<float>(y - r);
    return (mat(r, c) * (1 - u) + mat(r, c + 1) * u) * (1 - v) + (mat(r + 1, c) * (1 - u) + mat(r + 1, c + 1) * u) * v;
}

/// What lies across an edge at one place of it.
enum class Crossing {
    edge,     ///< table, then cloth
    covered,  ///< not table outside: threads or a strip of waste yarn hang there
    none,     ///< no cloth
};
struct Station {
    Crossing crossing = Crossing::none;
    SidePoint point;      ///< of the edge, in the square
    double contrast = 0;  ///< of the cloth just inside, in units of kSeen
    double shade = 0;     ///< pixels that are dark as if shaded before the edge
};

/// depth = c0 + c1 a + c2 a^2 along a side.
struct Edge {
    std::array<double, 3> c{};
    double operator()(double a) const { return c[0] + a * (c[1] + a * c[2]); }

    std::vector<Station> stations;
    double support = 0;                         ///< places on the edge, of all that are not covered
    double covered = 0;                         ///< places where something hangs over it, of all
    double support_start = 0, support_end = 0;  ///< the same beside its corners
    int nearest_corner = 0;                     ///< places on the edge right beside the worse corner
    double rms = 0;                             ///< pixels, of those on it
    double contrast = 0, shade = 0;             ///< median
};

struct Frame {
    const Work& work;
    const Unlikeness& unlike;
    const cv::Mat1b& piece;
    Corners corners;
    Homography square;
};

struct Fit {
    Corners corners;
    std::array<Edge, 4> edges;
    Homography square;  ///< in which the edges were fitted
};

constexpr int kStations = 160;        // along each side
constexpr double kRoughest = 0.0007;  // of the longer side of the picture: how far knitted edges wander. chosen

/// Four edges to fractions of a pixel, from where the corners lie about.
Fit refined(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Corners& start);

/// Each edge half way, seen from the straight line between the corners, in the order of the corners found.
Bows bows_of(const Fit& fit);

/// All four are edges of one cloth: what is much rougher than the two smoothest is threads.
double roughness(const std::array<Edge, 4>& edges);

}  // namespace loopread::corner_search
