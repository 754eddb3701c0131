#include "wound/ground.h"

#include <algorithm>
#include <cmath>

#include "wound/smooth_noise.h"

namespace loopread::wound {
namespace {

SeenPixels::Light scaled(SeenPixels::Light c, float f) {
    return {c.r * f, c.g * f, c.b * f};
}

/// Plain weave of slubby threads, quiet enough not to beat with pixels.
float linen(float x_mm, float y_mm) {
    constexpr float kThread = 1.25F;  // mm
    const float u = x_mm / kThread + 0.25F * smooth_noise_2d(21, x_mm / 3, y_mm / 22);
    const float v = y_mm / kThread + 0.25F * smooth_noise_2d(22, x_mm / 22, y_mm / 3);
    const std::int32_t i = whole_below(u), j = whole_below(v);
    const float a = u - static_cast<float>(i) - 0.5F, b = v - static_cast<float>(j) - 0.5F;
    const bool upright = ((i + j) & 1) == 0;  // which thread lies on top
    const float across = upright ? a : b, along = upright ? b : a;
    const float slub = upright ? smooth_noise(23, y_mm / 14, i) : smooth_noise(24, x_mm / 14, j);
    return 1 - 0.28F * across * across - 0.16F * along * along + 0.035F * slub;
}

/// A split stone: slow clouds, fine grain.
float slate(float x_mm, float y_mm) {
    return 1 + 0.10F * smooth_noise_2d(31, x_mm / 34, y_mm / 26) + 0.07F * smooth_noise_2d(32, x_mm / 7, y_mm / 5) +
           0.06F * smooth_noise_2d(33, x_mm / 1.3F, y_mm / 1.1F);
}

}  // namespace

GroundColour::GroundColour(const PaintOptions& options)
    : ground_(options.ground),
      mm_per_pixel_(static_cast<float>(1 / options.view.pixels_per_mm)),
      foreshortening_(static_cast<float>(1 / std::sin(options.view.elevation))) {
    constexpr LinearRgb kLinen{0.60, 0.525, 0.415}, kSlate{0.070, 0.076, 0.084};
    const LinearRgb c = ground_.kind == GroundKind::linen   ? kLinen
                        : ground_.kind == GroundKind::slate ? kSlate
                                                            : ground_.colour;
    plain_ = {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b)};
}

SeenPixels::Light GroundColour::at(int row, int column) const {
    const float x = static_cast<float>(column) * mm_per_pixel_;
    const float y = static_cast<float>(row) * mm_per_pixel_ * foreshortening_;
    switch (ground_.kind) {
        case GroundKind::plain:
            return plain_;
        case GroundKind::linen:
            return scaled(plain_, linen(x, y));
        case GroundKind::slate:
            return scaled(plain_, slate(x, y));
    }
    return plain_;
}

}  // namespace loopread::wound
