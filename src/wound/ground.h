#pragma once

#include "wound/seen_strands.h"

namespace loopread::wound {

/// The table's own colour at a pixel, as if in full light.
class GroundColour {
public:
    explicit GroundColour(const PaintOptions& options);
    SeenPixels::Light at(int row, int column) const;

private:
    Ground ground_;
    float mm_per_pixel_;
    float foreshortening_;
    SeenPixels::Light plain_;
};

}  // namespace loopread::wound
