#pragma once

#include "loopread/base/quantity.h"

namespace loopread {

/// Yarn to be wound.
struct WoundYarn {
    Millimetres length{211000};  ///< of each strand
    Millimetres diameter{0.715};
    int strands = 1;  ///< wound side by side
};

/// A strand as a cylinder of its visible diameter, all strands together.
double yarn_volume_mm3(const WoundYarn& yarn);

/// Turns of a hank: length / girth.
double hank_turns(Millimetres length, Millimetres girth);

// Part of a wound body that the yarn's own volume fills. Chosen so that 50 g and 100 g come out as large as they
// usually are (common practice, no source: balls of 6 to 8 and 8 to 9 cm, cakes of 100 g 8 to 10 cm wide and 7 to 9 cm
// high).
inline constexpr double kBallPacking = 0.55;
inline constexpr double kCakePacking = 0.40;
inline constexpr double kHankPacking = 0.27;

Millimetres ball_diameter(const WoundYarn& yarn);

struct CakeSize {
    Millimetres diameter, height, hole;
};
CakeSize cake_size(const WoundYarn& yarn);

}  // namespace loopread
