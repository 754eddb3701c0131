#pragma once

#include <vector>

#include "loopread/colour/spaces.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// The colour a stitch has wherever it starts, on a grid of 1 mm of yarn: worked out once, then read by every knitter.
/// A stitch's colour is taken over the planned yarn per stitch; between grid places it is interpolated in CIELAB.
class WindowColours {
public:
    WindowColours(const ColourRun& run, double yarn_per_stitch_mm, std::size_t threads);

    /// @param start_mm  within 0 .. the run's length
    Lab at(double start_mm) const {
        const auto place = static_cast<std::size_t>(start_mm);
        const double share = start_mm - static_cast<double>(place);
        const Lab& before = grid_[place];
        const Lab& after = grid_[place + 1];
        return {before.l + share * (after.l - before.l), before.a + share * (after.a - before.a),
                before.b + share * (after.b - before.b)};
    }
    Lab mean() const { return mean_; }

private:
    std::vector<Lab> grid_;
    Lab mean_;
};

}  // namespace loopread
