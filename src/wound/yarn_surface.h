#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>

#include "wound/smooth_noise.h"
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
    static constexpr float kPlies = 3;     // sock yarn has three or four (common practice, no source)
    static constexpr float kPitch = 5.6F;  // yarn diameters in one turn of the plies: at 29 degrees; chosen by eye
    static constexpr float kSlope = std::numbers::pi_v<float> / kPitch;
    static constexpr float kStreak = 0.15F;  // how much fibres differ in lightness; chosen by eye
    static constexpr int kAlong = 256, kRound = 64, kArcSteps = 512;
    float lobes_round(float across) const;

    float pixels_per_mm_;
    std::array<float, static_cast<std::size_t>(kAlong) * kRound> streaks_{};
    std::array<float, kArcSteps + 2> lobes_{};  // how many plies lie between the middle and a place across
};

// Here, since it is called for millions of samples.

inline float YarnSurface::lobes_round(float across) const {
    const float place = std::abs(across) * kArcSteps;
    const auto i = static_cast<std::size_t>(place);
    const float lobes = lobes_[i] + (lobes_[i + 1] - lobes_[i]) * (place - static_cast<float>(i));
    return across < 0 ? -lobes : lobes;
}

inline SurfaceLight YarnSurface::light(const TubeLight& tube, Vec offset, float along_mm) const {
    const float across = std::clamp(
        (offset.x * tube.frame.across.x + offset.y * tube.frame.across.y) * tube.over_radius, -0.999F, 0.999F);
    const float facing = std::sqrt(1 - across * across);

    // Within a ply's lobe: -1 and 1 are the grooves.
    const float lobes = lobes_round(across) - along_mm * tube.lobes_per_mm;
    const std::int32_t ply = whole_below(lobes);
    const float share = lobes - static_cast<float>(ply);
    const float in_ply = 2 * share - 1;
    const float tilt = 0.58F * tube.told * in_ply;
    const float c = 1 - tilt * tilt * (0.5F - tilt * tilt / 24), s = tilt * (1 - tilt * tilt / 6);  // cosine, sine
    // The normal in the frame; the length that its part along the yarn gives it is taken off by a series.
    const float out = facing * c - across * s, side = across * c + facing * s;
    const float lean2 = tilt * tilt * (kSlope * kSlope);
    const float shorter = 1 - lean2 * (0.5F - lean2 * (0.375F - lean2 * 0.3125F));
    const float to_lamp = shorter * (tube.lamp_toward * out + tube.lamp_across * side - tube.slope_to_lamp * tilt);
    const float to_viewer = shorter * (tube.viewer_toward * out - tube.slope_to_viewer * tilt);
    const float in_ply2 = in_ply * in_ply;
    const float groove = 1 - 0.34F * tube.told * in_ply2 * in_ply2;

    static_assert((kAlong & (kAlong - 1)) == 0 && (kRound & (kRound - 1)) == 0, "cells repeat by their last bits");
    const auto a = static_cast<std::size_t>(whole_below(along_mm * 12) & (kAlong - 1));
    const auto r = static_cast<std::size_t>((static_cast<std::int32_t>(share * 21) + ply * 17) & (kRound - 1));
    const float streak = 1 + kStreak * tube.told * streaks_[a * kRound + r];

    constexpr float kWrap = 0.30F;  // wool lets light through: its shadow side is not black
    const float lit = std::max(0.0F, (to_lamp + kWrap) * (1 / (1 + kWrap)));
    const float edge = across * across;
    const float sheen = 0.10F * edge * edge;
    const float sky = (0.60F + 0.40F * to_viewer) * (1 - 0.35F * edge * edge);
    return {(lit + sheen) * groove * streak, sky * groove * streak};
}

}  // namespace loopread::wound
