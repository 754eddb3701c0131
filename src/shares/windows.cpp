#include "windows.h"

#include <algorithm>

#include "loopread/base/parallel.h"
#include "loopread/fabric/fabric.h"

namespace loopread {

WindowColours::WindowColours(const ColourRun& run, double yarn_per_stitch_mm, std::size_t threads)
    : grid_(static_cast<std::size_t>(run.length_mm()) + 2) {
    constexpr std::size_t kBlock = 4096;
    in_parallel((grid_.size() + kBlock - 1) / kBlock, threads, [&] {
        return [&](std::size_t block) {
            const std::size_t end = std::min(grid_.size(), (block + 1) * kBlock);
            for (std::size_t i = block * kBlock; i < end; ++i)
                grid_[i] = lab_from_linear(stitch_colour(run, static_cast<double>(i), yarn_per_stitch_mm));
        };
    });
    const double count = static_cast<double>(grid_.size());
    for (const Lab& colour : grid_) {
        mean_.l += colour.l / count;
        mean_.a += colour.a / count;
        mean_.b += colour.b / count;
    }
}

}  // namespace loopread
