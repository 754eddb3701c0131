#pragma once

#include <array>
#include <vector>

#include "wound/seen_strands.h"

namespace loopread::wound {

/// The table's own colour, as if in full light.
class GroundColour {
public:
    explicit GroundColour(const PaintOptions& options);
    /// @param channels  red, green and blue of the row's pixels, as many as there are
    void row(int row, std::array<std::vector<float>, 3>& channels) const;

private:
    Ground ground_;
    float mm_per_pixel_;
    float foreshortening_;
    std::array<float, 3> plain_;
};

}  // namespace loopread::wound
