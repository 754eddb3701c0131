#pragma once

#include "loopread/blank/paint.h"

namespace loopread {

/// The design as it lies, dyed through, so many pixels high and in the blank's proportions.
/// @param rows  over 0 (require)
Image design_picture(const Paint& paint, int rows);

}  // namespace loopread
