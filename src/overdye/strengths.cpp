#include "loopread/overdye/strengths.h"

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kLeastDarkening = 0.5;  // L*; chosen: a dye that does less leaves no room for steps
constexpr int kHalvings = 60;            // past the last bit of a strength

double lightness(LinearRgb ground, KOverS dye, double strength) {
    return lab_from_linear(overdyed(ground, dye, strength)).l;
}

}  // namespace

LinearRgb overdyed(LinearRgb ground, KOverS dye, double strength) {
    if (strength == 0) return ground;  // takes no second dye: passes unclamped
    return linear_from_k_over_s(k_over_s(ground) + dye * strength);
}

KOverS dye_of(LinearRgb full_strength, LinearRgb undyed) {
    return k_over_s(full_strength) - k_over_s(undyed);
}

std::optional<std::vector<double>> even_strengths(LinearRgb ground, KOverS dye, int steps, double full) {
    require(steps >= 1 && full > 0, "steps of some strength");
    const double bare = lab_from_linear(ground).l;
    const double darkest = lightness(ground, dye, full);
    if (bare - darkest < kLeastDarkening) return std::nullopt;
    std::vector<double> strengths = {full};
    for (int step = 1; step < steps; ++step) {
        const double wanted = darkest + (bare - darkest) * step / steps;
        double weak = 0, strong = full;
        for (int i = 0; i < kHalvings; ++i) {
            const double middle = (weak + strong) / 2;
            (lightness(ground, dye, middle) > wanted ? weak : strong) = middle;
        }
        strengths.push_back((weak + strong) / 2);
    }
    return strengths;
}

}  // namespace loopread
