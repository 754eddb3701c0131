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

/// To 7e-5 radians [Abramowitz 1964, 4.4.45] (from memory).
float arc_sine(float x) {
    const float a = std::abs(x);
    const float near =
        kPi / 2 - std::sqrt(1 - a) * (1.5707288F + a * (-0.2121144F + a * (0.0742610F - 0.0187293F * a)));
    return x < 0 ? -near : near;
}

}  // namespace

TubeFrame::TubeFrame(Vec step) {
    tangent = norm(step) > 0 ? unit(step) : Vec{1, 0, 0};
    const Vec viewer{0, 0, 1};
    const Vec out = viewer - tangent * dot(viewer, tangent);
    toward = norm(out) > 1e-4F ? unit(out) : Vec{1, 0, 0};
    across = cross(tangent, toward);
}

YarnSurface::YarnSurface(double pixels_per_mm) : pixels_per_mm_(static_cast<float>(pixels_per_mm)) {
    for (int a = 0; a < kAlong; ++a)
        for (int r = 0; r < kRound; ++r)
            streaks_[static_cast<std::size_t>(a * kRound + r)] =
                0.6F * hashed(11, a / 8, r) + 0.4F * hashed(12, a / 2, r / 2);
}

SurfaceLight YarnSurface::light(const TubeFrame& frame, const SurfacePlace& place) const {
    const float across = std::clamp(dot(place.offset, frame.across) / place.radius, -0.999F, 0.999F);
    const float facing = std::sqrt(1 - across * across);
    const float round = arc_sine(across);
    const float diameter_mm = 2 * place.radius / pixels_per_mm_;
    const float turn = round - place.along_mm * (2 * kPi / (kPitch * diameter_mm));

    // Within a ply's lobe: -1 and 1 are the grooves.
    const float lobes = turn * (kPlies / (2 * kPi));
    const float in_ply = 2 * (lobes - std::floor(lobes)) - 1;
    const float told = std::clamp((2 * place.radius - 1.5F) / 5, 0.2F, 1.0F);  // finer than pixels: no plies
    const float tilt = 0.58F * told * in_ply;
    const float c = 1 - tilt * tilt * (0.5F - tilt * tilt / 24), s = tilt * (1 - tilt * tilt / 6);  // cosine, sine
    const Vec normal = unit(frame.toward * (facing * c - across * s) + frame.across * (across * c + facing * s) -
                            frame.tangent * (tilt * kSlope));
    const float groove = 1 - 0.34F * told * in_ply * in_ply * in_ply * in_ply;

    const float noise_along = place.along_mm * 12;
    const auto a = static_cast<std::size_t>(noise_along - std::floor(noise_along / kAlong) * kAlong) % kAlong;
    const float noise_round = (lobes - std::floor(lobes)) * 21 + std::floor(lobes) * 17;
    const auto r = static_cast<std::size_t>(noise_round - std::floor(noise_round / kRound) * kRound) % kRound;
    const float streak = 1 + kStreak * told * streaks_[a * kRound + r];

    constexpr float kWrap = 0.30F;  // wool lets light through: its shadow side is not black
    const float lit = std::max(0.0F, (dot(normal, toward_lamp()) + kWrap) / (1 + kWrap));
    const float edge = across * across;
    const float sheen = 0.10F * edge * edge;
    const float sky = (0.60F + 0.40F * normal.z) * (1 - 0.35F * edge * edge);
    return {(lit + sheen) * groove * streak, sky * groove * streak};
}

}  // namespace loopread::wound
