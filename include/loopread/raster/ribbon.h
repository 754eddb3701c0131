#pragma once

#include "loopread/image/image.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// A stretch of yarn as a straight ribbon, its beginning at the left: each column is the exact mean of its yarn, shaded
/// like a round thread whose mean stays 1.
Image ribbon(const ColourRun& run, double from_mm, double to_mm, int width, int height);

}  // namespace loopread
