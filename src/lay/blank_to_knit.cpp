#include "loopread/lay/blank_to_knit.h"

#include "loopread/base/require.h"
#include "loopread/unravel/unravelled.h"

namespace loopread {

std::vector<ColourRun> runs_to_knit(const std::vector<ColourRun>& strands, const std::vector<int>& which,
                                    FirstEnd first_end) {
    std::vector<ColourRun> runs;
    for (const int strand : which) {
        require(strand >= 1 && static_cast<std::size_t>(strand) <= strands.size(), "a strand of the blank");
        const ColourRun& run = strands[static_cast<std::size_t>(strand - 1)];
        runs.push_back(first_end == FirstEnd::far_end ? run.reversed() : run);
    }
    return runs;
}

std::vector<ColourRun> runs_to_knit(const BlankToKnit& blank, Painted side, const Paint& paint) {
    BlankLayout layout = blank.layout;
    layout.painted = side;
    return runs_to_knit(unravelled(layout, paint, blank.shape, blank.shares, blank.winding), blank.strands,
                        blank.first_end);
}

}  // namespace loopread
