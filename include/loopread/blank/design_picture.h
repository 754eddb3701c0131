#pragma once

#include "loopread/blank/paint.h"

namespace loopread {

/// The design as it lies, dyed through, so many pixels high and in the blank's proportions.
/// @param rows  over 0 (require)
Image design_picture(const Paint& paint, int rows);

/// A stencil: black where all of the dye lies, white where none does.
/// @param strength  the amount that is all; 0: a white stencil
Picture8 stencil_picture(const Plane& amount, double strength);

}  // namespace loopread
