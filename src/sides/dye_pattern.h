#pragma once

#include <vector>

#include "loopread/sides/show_through.h"

namespace loopread {

/// Parts of a stitch at which the other side is read, across and along.
inline constexpr int kPartsAcross = 8, kPartsAlong = 6;

/// What lies behind the lines of sight of one stitch seen from the other side.
class DyePattern {
public:
    explicit DyePattern(const SidesModel& model);

    /// How a photo blurs and misplaces the stitch: in stitch widths.
    struct Sharpness {
        double blur = 0;  ///< standard deviation
        double right = 0, down = 0;
    };
    /// The painted part of the surface at each of the stitch's parts, without penetration; one plane a wrap.
    std::vector<Plane> painted(const std::vector<double>& wraps, const Sharpness& sharpness) const;

private:
    /// Of the place a line of sight meets: what each side shows of its round surface, and about how light it is.
    struct Sight {
        double painted = 0, other = 0, light = 0;
    };
    double row_per_stitch_;
    Grid<std::vector<Sight>> sights_;  // a line of sight a cell, one entry a winding angle
    Plane light_;                      // of all angles together
};

}  // namespace loopread
