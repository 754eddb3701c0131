#pragma once

#include <vector>

#include "loopread/blank/layout.h"

namespace loopread {

/// Along the course, as the painted side lies before us.
enum class Travel { right, left };
/// Of a tube lying flat: the layer towards us, or the one underneath.
enum class Layer { painted, hidden };

/// One loop, where it lies and which way its yarn runs through it.
struct LoopPlace {
    int course = 0;
    int wale = 0;
    int column = 0;  ///< where it lies across the painted side, 0 at the left
    Layer layer = Layer::painted;
    Travel travel = Travel::right;
    bool operator==(const LoopPlace&) const = default;
};

/// All loops in the order they come off: course 0 first, from the tail; a flat blank turns round at each edge, a tube
/// always goes the same way.
std::vector<LoopPlace> ravel_order(const BlankLayout& layout);

/// A winding angle counted along the yarn, as the loop's own frame counts it. Seen from the back, what runs right runs
/// left in that frame; against the frame's direction the strands wind the other way.
double frame_angle(const BlankLayout& layout, Travel travel, double angle);

}  // namespace loopread
