#include "wound/yarn_surface.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "wound/seen_strands.h"

namespace loopread::wound {

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
            streaks_[static_cast<std::size_t>(a) * kRound + static_cast<std::size_t>(r)] =
                0.6F * hashed(11, a / 8, r) + 0.4F * hashed(12, a / 2, r / 2);
    for (std::size_t i = 0; i < lobes_.size(); ++i)
        lobes_[i] =
            kPlies / (2 * std::numbers::pi_v<float>)*std::asin(std::min(1.0F, static_cast<float>(i) / kArcSteps));
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

}  // namespace loopread::wound
