#pragma once

#include <vector>

namespace loopread {

/// A point of a strand's centreline, mm: x to the right, y away from us, z up from the table (z = 0).
struct WoundPoint {
    float x = 0, y = 0, z = 0;
    float along_mm = 0;  ///< which place of the strand's run lies here
};

/// A length of yarn as it lies in space.
struct StrandPath {
    int strand = 0;  ///< whose run it is
    float radius_mm = 0;
    std::vector<WoundPoint> points;
};

}  // namespace loopread
