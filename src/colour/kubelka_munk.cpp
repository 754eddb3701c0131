#include "loopread/colour/kubelka_munk.h"

#include <algorithm>
#include <cmath>

namespace loopread {
namespace {

double clamped_k_over_s(double reflectance) {
    return k_over_s_of(std::clamp(reflectance, 0.02, 0.98));
}

}  // namespace

double k_over_s_of(double reflectance) {
    return (1 - reflectance) * (1 - reflectance) / (2 * reflectance);
}

double reflectance_of(double k_over_s) {
    const double k = std::max(0.0, k_over_s);
    return 1 / (1 + k + std::sqrt(k * k + 2 * k));
}

KOverS k_over_s(LinearRgb reflectance) {
    return {clamped_k_over_s(reflectance.r), clamped_k_over_s(reflectance.g), clamped_k_over_s(reflectance.b)};
}

LinearRgb linear_from_k_over_s(KOverS value) {
    return {reflectance_of(value.r), reflectance_of(value.g), reflectance_of(value.b)};
}

}  // namespace loopread
