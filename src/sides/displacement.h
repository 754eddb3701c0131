#pragma once

#include <Eigen/Dense>

#include "sides/features.h"

namespace loopread {

/// How far places of one raster lie from those of another: smooth, one surface over the whole.
class Displacement {
public:
    static constexpr int kAcross = 3, kAlong = 5;  // terms: to x^2 and y^4, since a long strip bends more often
    static constexpr int kTerms = kAcross * kAlong;
    using Terms = Eigen::Matrix<double, kTerms, 1>;

    /// Raster pixels at a place, both -1..1 from edge to edge.
    struct Step {
        double x = 0, y = 0;
    };
    Step at(double x, double y) const;
    static Terms terms(double x, double y);

    Eigen::Matrix<double, 2 * kTerms, 1> of_terms = Eigen::Matrix<double, 2 * kTerms, 1>::Zero();  ///< x's, then y's
};

/// Where windows correlate best, made into one surface.
/// @param window  pixels of a window, across and along
/// @param reach   pixels that places may be off, each way
Displacement found_displacement(const ColourPlanes& fixed, const ColourPlanes& moving, PlaneShift window,
                                PlaneShift reach);

/// The moving planes drawn anew so that each place of the raster shows what lies at its displaced place.
ColourPlanes displaced(const ColourPlanes& moving, const Displacement& displacement);

}  // namespace loopread
