#include "loopread/wound/sizes.h"

#include <cmath>
#include <numbers>

#include "loopread/base/require.h"

namespace loopread {

double yarn_volume_mm3(const WoundYarn& yarn) {
    require(yarn.length.value > 0 && yarn.diameter.value > 0 && yarn.strands > 0, "there is yarn to wind");
    return std::numbers::pi / 4 * yarn.diameter.value * yarn.diameter.value * yarn.length.value * yarn.strands;
}

double hank_turns(Millimetres length, Millimetres girth) {
    require(girth.value > 0, "a reel has a girth");
    return length / girth;
}

Millimetres ball_diameter(const WoundYarn& yarn) {
    return {std::cbrt(yarn_volume_mm3(yarn) / kBallPacking * 6 / std::numbers::pi)};
}

CakeSize cake_size(const WoundYarn& yarn) {
    constexpr double kHeight = 0.75;   // of the diameter
    constexpr double kSpindleMm = 22;  // common practice, no source
    const double volume = yarn_volume_mm3(yarn) / kCakePacking;
    double diameter = kSpindleMm;
    for (int i = 0; i < 200; ++i)  // pi / 4 (D^2 - hole^2) kHeight D = volume; the left side rises with D
        diameter = std::cbrt(volume * 4 / (std::numbers::pi * kHeight) + kSpindleMm * kSpindleMm * diameter);
    return {{diameter}, {kHeight * diameter}, {kSpindleMm}};
}

}  // namespace loopread
