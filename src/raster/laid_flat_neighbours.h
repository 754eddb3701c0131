#pragma once

#include <vector>

#include "raster/laid_flat_mesh.h"

namespace loopread {

/// Which stitch lies beside which, found by their places: so a heel flap's edge meets the gusset picked up along it.
class Neighbours {
public:
    explicit Neighbours(const std::vector<FlatStitch>& stitches);

    /// @param right, up  steps of -1, 0 or 1 as the stitch's V stands upright; up first
    /// @return its index; -1 if there is none
    int beside(std::size_t stitch, int right, int up) const;

private:
    struct Around {
        int left = -1, right = -1, above = -1, below = -1;
    };
    std::vector<Around> around_;
};

}  // namespace loopread
