#pragma once

#include <array>

#include "wound/vec.h"

namespace loopread::wound {

/// Directions at a piece of a tube: along it, out of it to the viewer, and across.
struct TubeFrame {
    explicit TubeFrame(Vec step);
    Vec tangent, toward, across;
};

/// A place on the yarn that the viewer meets, pixels.
struct SurfacePlace {
    Vec offset;  ///< from the centreline, in the picture
    float radius = 1;
    float along_mm = 0;
};
/// How much the yarn's own form lets through of the lamp and of the sky.
struct SurfaceLight {
    float key = 1, sky = 1;
};
inline constexpr SurfaceLight kFibreLight{0.80F, 0.95F};  // a fibre scatters on all sides; chosen by eye

/// Yarn of three plies that wind about each other, each a soft bundle of fibres.
class YarnSurface {
public:
    explicit YarnSurface(double pixels_per_mm);
    SurfaceLight light(const TubeFrame& frame, const SurfacePlace& place) const;

private:
    static constexpr int kAlong = 256, kRound = 64;
    float pixels_per_mm_;
    std::array<float, static_cast<std::size_t>(kAlong) * kRound> streaks_{};
};

}  // namespace loopread::wound
