#pragma once

#include "wound/seen_strands.h"

namespace loopread::wound {

/// How much of lamp and sky reaches each pixel past everything else in the picture, [0, 1].
struct FarLight {
    Grid<float> lamp, sky;
};
FarLight far_light(const SeenPixels& seen, const PaintOptions& options);

}  // namespace loopread::wound
