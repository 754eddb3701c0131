#pragma once

#include <string>

#include "loopread/base/grid.h"
#include "loopread/image/image.h"
#include "loopread/image/sampling.h"

namespace loopread {

/// A place in a picture, pixels; pixel (0, 0) covers [0, 1) x [0, 1).
struct PicturePoint {
    double x = 0, y = 0;
    bool operator==(const PicturePoint&) const = default;
};

/// What is known beforehand; 0 is unknown. It narrows the search and never replaces a finding.
struct LatticeHint {
    int stitches = 0;        ///< across the picture
    double tolerance = 0.3;  ///< the true count lies within this share of it
};

/// From here on what v_confidence says is told. chosen: windows without selvedges stay under 0.3
inline constexpr double kSureOfVs = 0.7;

/// Stitches and rows found in a picture of plain knitting.
struct KnitLattice {
    int stitches = 0, rows = 0;                  ///< whole ones, edge to edge; 0 if not found
    double stitches_across = 0, rows_along = 0;  ///< the same, not rounded: mean from edge to edge
    double pixels_per_stitch = 0;                ///< mean
    double confidence = 0;                       ///< 0..1; under kLatticeConfidence nothing is claimed
    std::string why_not;                         ///< in plain words; empty if found
    QuarterTurn turn = QuarterTurn::none;        ///< clockwise_90: the wales lie across the picture. Counts, rows and
                                                 ///< V's are those of the picture turned so
    Grid<PicturePoint> middles;                  ///< rows x stitches, mid-legs, in the pixels of the picture as given;
                                                 ///< where the fabric leans some lie outside of it
    bool v_opens_up = true;                      ///< V's open towards the top: the course knitted last is there
    double v_confidence = 0;                     ///< 0..1; near 0: the picture does not say

    bool found() const { return why_not.empty(); }
    /// The V's open away from the top, and the picture says so plainly.
    bool opens_down() const { return !v_opens_up && v_confidence >= kSureOfVs; }
};

inline constexpr double kLatticeConfidence = 0.5;

/// Counts stitches and rows and finds where each lies, from the texture of the knit side alone.
///
/// The sign of the yarn's slant changes between left and right legs, so it repeats once a stitch, where brightness
/// repeats twice (two legs); along a wale it stays. That carrier gives the wales. The courses are the brightness with
/// the slant of the legs undone. Both phases are followed from window to window and fitted by a smooth surface.
///
/// Which way V's open: turned by half a turn and moved by half a stitch, plain knitting looks the same (so does the
/// loop of [Crane 2023]: x(t + pi) = x(t) + w/2, y(t + pi) = -y(t)). Only the selvedges tell, where the fabric begins
/// and ends with a whole stitch; if the picture does not show both, v_confidence is low.
///
/// Woven cloth, rib, garter stitch, the purl side, pictures that are too coarse or too blurred are refused.
/// @param rectified  linear light; wales upright or lying, leaning by up to about 12 degrees
KnitLattice knit_lattice(const Image& rectified, const LatticeHint& hint = {});

}  // namespace loopread
