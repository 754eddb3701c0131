#pragma once

#include "loopread/image/image.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Where a ribbon lies along the yarn, and how big it is drawn.
struct RibbonView {
    double from_mm = 0;
    double to_mm = 0;
    int width = 0;   ///< pixels
    int height = 0;  ///< pixels
    /// Each column averages at least so much yarn about its middle. One loop's worth keeps the flecks inside loops from
    /// beating with the pixels; 0 shows them.
    double least_window_mm = 0;
};

/// A stretch of yarn as a straight ribbon, its beginning at the left: exact means of its yarn, shaded like a round
/// thread whose mean stays 1.
/// @throws contract if the view is empty
Image ribbon(const ColourRun& run, const RibbonView& view);

}  // namespace loopread
