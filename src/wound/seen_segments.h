#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "loopread/wound/strand_painter.h"
#include "wound/vec.h"

namespace loopread::wound {

constexpr int kTile = 96;  // pixels along a square; its samples stay in a processor's second cache

/// The table as the viewer sees it: its height, pixels, as a plane over the picture.
struct SeenTable {
    float at_top = 0, per_row = 0;
    float height(float row) const { return at_top + per_row * row; }
};
SeenTable seen_table(const PaintOptions& options);

/// A short straight piece of a tube as the viewer sees it, pixels.
struct Segment {
    Vec from, step;  // step: to its other end
    float along_mm = 0, along_step_mm = 0;
    float radius = 0;
    int strand = 0;

    float nearest() const { return std::max(from.z, from.z + step.z) + radius; }
};

/// The strands as straight pieces, in the order of the paths: short ones where a strand bends.
std::vector<Segment> seen_segments(const std::vector<StrandPath>& paths, const PaintOptions& options);

/// Which segments may reach each tile, in their order.
struct Bins {
    int across = 0, down = 0;
    std::vector<std::uint32_t> first, segments;
};

/// @param margin  how far from its segment yarn may still show, pixels
Bins binned(const std::vector<Segment>& segments, const PaintOptions& options, float margin);

}  // namespace loopread::wound
