#pragma once

#include <string>
#include <vector>

#include "loopread/loop/shape.h"

namespace loopread {

/// Where the centreline of a course crosses, in plan, that of the course knitted next (both in parameter t).
struct Crossing {
    double older_t = 0;
    double newer_t = 0;
    double z_gap = 0;  ///< z of the newer minus z of the older; negative: the newer lies nearer the face
};

/// Crossings of one loop with all of the next course, ordered by older_t.
std::vector<Crossing> crossings(const LoopShape& shape);

/// Least distances between centrelines, in wale spacings.
struct Clearance {
    double next_course = 0;
    double second_course = 0;
    double same_course = 0;  ///< between parts of one course that are not neighbours along the yarn
    double least() const;
};
Clearance clearance(const LoopShape& shape);

/// A loop that can be drawn: it is caught in the next course only, the four crossings are there, and nothing comes
/// nearer than 0.2 wale spacings.
bool can_be_drawn(const LoopShape& shape);

/// The nearest shape that can be drawn, and whether it had to be moved.
struct DrawnShape {
    LoopShape shape;
    bool moved = false;
};
/// w/c is held to 1.15..1.45, then l/w moved to the nearest value for which can_be_drawn.
/// @throws Error(usage) as LoopShape
DrawnShape drawn_shape(LoopProportions measured);

}  // namespace loopread
