#include <array>
#include <cmath>

#include "loopread/colour/difference.h"
#include "loopread/compare/ground.h"

namespace loopread {
namespace {

struct Step {
    const char* grade;
    double delta_e76;
};
// [ISO 105-A02], table of the grey scale.
constexpr std::array<Step, 9> kSteps{{{"5", 0},
                                      {"4-5", 0.8},
                                      {"4", 1.7},
                                      {"3-4", 2.5},
                                      {"3", 3.4},
                                      {"2-3", 4.8},
                                      {"2", 6.8},
                                      {"1-2", 9.6},
                                      {"1", 13.6}}};

}  // namespace

std::string grey_scale_step(double delta_e76) {
    const Step* nearest = kSteps.data();
    for (const Step& step : kSteps)
        if (std::abs(step.delta_e76 - delta_e76) < std::abs(nearest->delta_e76 - delta_e76)) nearest = &step;
    return nearest->grade;
}

Fading fading(LinearRgb before, LinearRgb after) {
    const Lab one = lab_from_linear(before), other = lab_from_linear(after);
    const double delta_e76 = delta_e_76(one, other);
    return {delta_e_2000(one, other), delta_e76, other.l - one.l, grey_scale_step(delta_e76)};
}

}  // namespace loopread
