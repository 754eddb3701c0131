#include "wound/yarn_surface.h"

#include <algorithm>
#include <numbers>

#include "wound/seen_strands.h"
#include "wound/smooth_noise.h"

namespace loopread::wound {
namespace {

constexpr float kPi = std::numbers::pi_v<float>;
constexpr float kPlies = 3;     // sock yarn has three or four (common practice, no source)
constexpr float kPitch = 5.6F;  // yarn diameters in one turn of the plies: they lie at 29 degrees; chosen by eye
constexpr float kSlope = kPi / kPitch;
constexpr float kStreak = 0.15F;  // how much fibres differ in lightness; chosen by eye

}  // namespace

TubeFrame::TubeFrame(Vec step) {
    const float length = norm(step);
    tangent = length > 0 ? step * (1 / length) : Vec{1, 0, 0};
    const float flat = std::sqrt(tangent.x * tangent.x + tangent.y * tangent.y);
    if (flat > 1e-4F) {
        const float part = 1 / flat;
        toward = {-tangent.x * tangent.z * part, -tangent.y * tangent.z * part, flat};
        across = {tangent.y * part, -tangent.x * part, 0};
    } else {  // it runs straight at the viewer
        toward = {1, 0, 0};
        across = {0, tangent.z, 0};
    }
}

YarnSurface::YarnSurface(double pixels_per_mm) : pixels_per_mm_(static_cast<float>(pixels_per_mm)) {
    for (int a = 0; a < kAlong; ++a)
        for (int r = 0; r < kRound; ++r)
            streaks_[static_cast<std::size_t>(a * kRound + r)] =
                0.6F * hashed(11, a / 8, r) + 0.4F * hashed(12, a / 2, r / 2);
    for (std::size_t i = 0; i < lobes_.size(); ++i)
        lobes_[i] = kPlies / (2 * kPi) * std::asin(std::min(1.0F, static_cast<float>(i) / kArcSteps));
}

TubeLight YarnSurface::tube(Vec step, float radius) const {
    TubeLight tube{.frame = TubeFrame(step)};
    tube.over_radius = 1 / radius;
    tube.lobes_per_mm = kPlies * pixels_per_mm_ / (kPitch * 2 * radius);
    tube.told = std::clamp((2 * radius - 1.5F) / 5, 0.2F, 1.0F);  // finer than pixels: no plies
    tube.lamp_toward = dot(tube.frame.toward, kTowardLamp);
    tube.lamp_across = dot(tube.frame.across, kTowardLamp);
    tube.slope_to_lamp = kSlope * dot(tube.frame.tangent, kTowardLamp);
    tube.viewer_toward = tube.frame.toward.z;
    tube.slope_to_viewer = kSlope * tube.frame.tangent.z;
    return tube;
}

float YarnSurface::lobes_round(float across) const {
    const float place = std::abs(across) * kArcSteps;
    const auto i = static_cast<std::size_t>(place);
    const float lobes = lobes_[i] + (lobes_[i + 1] - lobes_[i]) * (place - static_cast<float>(i));
    return across < 0 ? -lobes : lobes;
}

SurfaceLight YarnSurface::light(const TubeLight& tube, Vec offset, float along_mm) const {
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
