#pragma once

#include <cstdint>
#include <vector>

#include "loopread/base/grid.h"
#include "loopread/wound/strand_painter.h"
#include "wound/vec.h"

namespace loopread::wound {

/// What the picture's pixels see, before light and shadow from afar are known.
struct SeenPixels {
    struct Light {
        float r = 0, g = 0, b = 0;
    };
    Grid<Light> colour;    ///< of the yarn, mean over its samples
    Grid<float> coverage;  ///< part of the samples on yarn
    Grid<float> key, sky;  ///< what the yarn's own form lets through of lamp and sky, mean over its samples
    Grid<float> height;    ///< towards the viewer, pixels; mean over all samples
};

/// The table as the viewer sees it: its height, pixels, as a plane over the picture.
struct SeenTable {
    float at_top = 0, per_row = 0;
    float height(float row) const { return at_top + per_row * row; }
};
SeenTable seen_table(const PaintOptions& options);

/// Direction towards the lamp, unit: x right, y down, z to the viewer. From the upper left.
inline constexpr Vec kTowardLamp{-0.43039525F, -0.51647430F, 0.74027983F};  // as -50, -60, 86

SeenPixels seen_pixels(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                       const PaintOptions& options);

}  // namespace loopread::wound
