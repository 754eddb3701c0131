#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/loop/shape.h"
#include "loopread/unravel/winding.h"
#include "loopread/wound/strand_path.h"

namespace loopread {

struct HalfRavelledOptions {
    BlankLayout layout;
    LoopShape shape{LoopProportions{}};  ///< as drawn
    WindingOptions winding;              ///< as used for unravelling
    Millimetres diameter{0.715};         ///< of the yarn that has come off
    double share = 0.5;                  ///< of the loops that are off
    std::uint64_t seed = 1;
};

/// What lies on the table.
struct HalfRavelled {
    std::vector<StrandPath> paths;
    std::size_t still_knitted = 0;      ///< so many of them, from the first, are loops that are left
    float width_mm = 0, length_mm = 0;  ///< of all together, its middle at x = y = 0
};

/// A blank half ravelled, painted side up: the loops that are left, the ravel edge on top, and beside them the yarn
/// that has come off, crimped as it came, in coils from bottom to top; it leads to the stitch that comes off next.
HalfRavelled half_ravelled(const HalfRavelledOptions& options);

}  // namespace loopread
