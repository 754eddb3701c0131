#include "compare/strength.h"

#include <algorithm>

namespace loopread {
namespace {

double dot(LinearRgb a, LinearRgb b) {
    return a.r * b.r + a.g * b.g + a.b * b.b;
}

}  // namespace

DyeInLight::DyeInLight(LinearRgb ground, LinearRgb motif)
    : ground_(k_over_s(ground)),
      dye_(k_over_s(motif) - ground_),
      from_(linear_from_k_over_s(ground_)),
      way_(linear_from_k_over_s(ground_ + dye_) - from_) {}

double DyeInLight::light_share(double dye_share) const {
    const double length = dot(way_, way_);
    if (length < 1e-12) return dye_share;
    return dot(linear_from_k_over_s(ground_ + dye_ * dye_share) - from_, way_) / length;
}

double DyeInLight::dye_share(double light_share) const {
    double low = 0, high = 1;
    for (int halving = 0; halving < 40; ++halving) {
        const double middle = (low + high) / 2;
        (this->light_share(middle) < light_share ? low : high) = middle;
    }
    return (low + high) / 2;
}

}  // namespace loopread
