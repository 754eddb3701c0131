#include "loopread/unravel/winding.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/random.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {
constexpr double kStep = 10.0;                  // mm between steps of the walk
constexpr std::uint64_t kPurpose = 0x77696e64;  // so that other uses of the seed do not shift it
}  // namespace

Winding::Winding(const WindingOptions& options, Millimetres length) {
    require(options.turn.value > 0, "a turn takes some yarn");
    radians_per_mm_ = 2 * std::numbers::pi / options.turn.value;
    const double step_deviation = options.wander.value * std::numbers::pi / 180 * std::sqrt(kStep / 100.0);
    Random random(options.seed, kPurpose);
    const auto steps = static_cast<std::size_t>(length.value / kStep) + 2;
    walk_.reserve(steps);
    double angle = 2 * std::numbers::pi * random.uniform();
    for (std::size_t i = 0; i < steps; ++i) {
        walk_.push_back(angle);
        angle += step_deviation * random.normal();
    }
}

double Winding::angle(double distance_mm) const {
    const double cell = std::clamp(distance_mm / kStep, 0.0, static_cast<double>(walk_.size() - 2));
    const auto below = static_cast<std::size_t>(cell);
    const double share = cell - static_cast<double>(below);
    return radians_per_mm_ * distance_mm + walk_[below] * (1 - share) + walk_[below + 1] * share;
}

}  // namespace loopread
