#pragma once

#include <cstdint>
#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/image/image.h"
#include "loopread/loop/shape.h"
#include "loopread/unravel/winding.h"
#include "loopread/wound/strand_painter.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// The painted side of a blank from close up.
struct CloseUp {
    int rows = 2000, columns = 2000;  ///< of the picture
    BlankLayout layout = {};
    LoopShape shape{LoopProportions{}};  ///< as drawn
    WindingOptions winding = {};         ///< as used for unravelling
    Ground ground = {};                  ///< seen where a blank is smaller than the picture
    std::uint64_t seed = 1;
};

/// Stitches and rows that are shown.
struct LoopWindow {
    int row = 0, column = 0;
    double rows = 0, columns = 0;
};

/// Some twenty stitches across, fewer of a smaller blank, where colours differ most from loop to loop. Ties: the
/// uppermost, then the leftmost.
LoopWindow liveliest_window(const CloseUp& what, const std::vector<ColourRun>& strands);

/// That window, thread by thread.
Picture8 close_up(const CloseUp& what, const std::vector<ColourRun>& strands);

}  // namespace loopread
