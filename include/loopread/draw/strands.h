#pragma once

#include <vector>

#include "loopread/image/image.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What the marks on the ribbons say.
struct StrandMarks {
    double row_yarn_mm = 0;    ///< yarn in one row of the blank; 0: not known, no row marks
    double round_yarn_mm = 0;  ///< yarn in one knitted round; 0: no rounds
    double loop_mm = 0;        ///< yarn in one loop of the blank: flecks shorter than it show in the close-up only
    int width = 1500;          ///< of the picture, pixels
};

/// Both strands as ribbons, wrapped like lines of text, the end that comes off first at the top left: metres above,
/// "row 50 = round 57" below; first a close-up of a metre, with the flecks inside the loops. Rows count from the ravel
/// edge, rounds from the end that comes off first.
Picture8 strands_picture(const std::vector<ColourRun>& strands, const StrandMarks& marks);

}  // namespace loopread
