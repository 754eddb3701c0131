#pragma once

#include <vector>

#include "loopread/compare/edges.h"

namespace loopread {

/// A pixel near an edge.
struct EdgeSample {
    double across = 0;  ///< mm from the place, along its normal
    double along = 0;   ///< mm, along its tangent
    LinearRgb light;
};

/// The pixels in a box about a place; of knitting those on the middles of legs.
std::vector<EdgeSample> edge_samples(const DyedPicture& picture, const EdgePlace& place, double reach_mm,
                                     double half_length_mm);

}  // namespace loopread
