#pragma once

#include "photo/corners_geometry.h"
#include "photo/corners_pieces.h"

namespace loopread::corner_search {

/// y = at + slope x.
struct Line {
    double at = 0, slope = 0;
    double operator()(double x) const { return at + slope * x; }
};

/// A frame along the piece: s along it, t across it.
struct Axes {
    PhotoPoint middle, along, across;
    double s(PhotoPoint p) const { return dot(p - middle, along); }
    double t(PhotoPoint p) const { return dot(p - middle, across); }
    PhotoPoint point(double s, double t) const { return middle + along * s + across * t; }
};

Axes axes_of(const Piece& piece);

/// The two long sides of a piece, as t over s, and where along them it begins and ends.
struct LongSides {
    Line low, high;
    double first = 0, last = 0;
    int bodies = 1;  ///< stretches as wide as the lines are apart, with a gap of table between
};
/// @param cloth  all that is not table, threads too
LongSides long_sides(const Piece& piece, const cv::Mat1b& cloth, const Axes& axes);

}  // namespace loopread::corner_search
