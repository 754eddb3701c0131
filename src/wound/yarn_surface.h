#pragma once

#include <array>

#include "wound/vec.h"

namespace loopread::wound {

/// Directions at a piece of a tube: along it, out of it to the viewer, and across (in the picture's plane).
struct TubeFrame {
    explicit TubeFrame(Vec step);
    Vec tangent, toward, across;
};

/// How much the yarn's own form lets through of the lamp and of the sky.
struct SurfaceLight {
    float key = 1, sky = 1;
};
inline constexpr SurfaceLight kFibreLight{0.80F, 0.95F};  // a fibre scatters on all sides; chosen by eye

/// What all places of a straight piece of yarn have in common when light falls on it.
struct TubeLight {
    TubeFrame frame;
    float over_radius = 1;                                      ///< 1 / pixels
    float lobes_per_mm = 0;                                     ///< of yarn
    float told = 1;                                             ///< how far plies are told apart, [0, 1]
    float lamp_toward = 0, lamp_across = 0, slope_to_lamp = 0;  ///< lamp's direction in the frame
    float viewer_toward = 0, slope_to_viewer = 0;               ///< its direction; nothing of it lies across
};

/// Yarn of three plies that wind about each other, each a soft bundle of fibres.
class YarnSurface {
public:
    explicit YarnSurface(double pixels_per_mm);
    TubeLight tube(Vec step, float radius) const;
    /// @param offset  from the centreline to the place, in the picture, pixels
    SurfaceLight light(const TubeLight& tube, Vec offset, float along_mm) const;

private:
    static constexpr int kAlong = 256, kRound = 64, kArcSteps = 512;
    float lobes_round(float across) const;

    float pixels_per_mm_;
    std::array<float, static_cast<std::size_t>(kAlong) * kRound> streaks_{};
    std::array<float, kArcSteps + 2> lobes_{};  // how many plies lie between the middle and a place across
};

}  // namespace loopread::wound
