#pragma once

#include <cstddef>
#include <memory>
#include <vector>

#include "loopread/base/grid.h"
#include "loopread/wound/strand_painter.h"
#include "wound/seen_segments.h"
#include "wound/vec.h"

namespace loopread::wound {

struct Light {
    float r = 0, g = 0, b = 0;
};

/// What yarn does with light in a square of pixels, plane after plane, row after row.
struct YarnTile {
    static constexpr std::size_t kPixels = static_cast<std::size_t>(kTile) * kTile, kPlanes = 5;

    YarnTile() = default;
    explicit YarnTile(float* planes)
        : red(planes),
          green(planes + kPixels),
          blue(planes + 2 * kPixels),
          key(planes + 3 * kPixels),
          sky(planes + 4 * kPixels) {}
    bool bare() const { return red == nullptr; }

    float *red = nullptr, *green = nullptr, *blue = nullptr;  ///< colour of the yarn, mean over a pixel's samples
    float *key = nullptr, *sky = nullptr;  ///< what the yarn's own form lets through of lamp and sky, mean over them
};

/// What the picture's pixels see, before light and shadow from afar are known.
struct SeenPixels {
    Grid<YarnTile> tiles;           ///< kTile x kTile pixels each; bare where no yarn comes near, to spare memory
    std::unique_ptr<float[]> yarn;  ///< the tiles' planes
    Grid<float> coverage;           ///< part of the samples on yarn
    Grid<float> height;             ///< towards the viewer, pixels; mean over all samples
};

/// Direction towards the lamp, unit: x right, y down, z to the viewer. From the upper left.
inline constexpr Vec kTowardLamp{-0.43039525F, -0.51647430F, 0.74027983F};  // as -50, -60, 86

SeenPixels seen_pixels(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                       const PaintOptions& options);

}  // namespace loopread::wound
