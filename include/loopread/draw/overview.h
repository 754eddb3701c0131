#pragma once

#include <string>
#include <vector>

#include "loopread/draw/fabric_sheet.h"
#include "loopread/image/image.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Blank, yarn and fabric on one sheet, read left to right: what the whole tool does, in one picture.
struct Overview {
    Picture8 blank;  ///< ravel edge on top
    std::vector<ColourRun> strands;
    double loop_mm = 0;               ///< as in StrandMarks
    std::vector<FabricPanel> fabric;  ///< one a ball
    double fabric_pixels_per_cm = 0;
};
Picture8 overview_picture(const Overview& overview);

}  // namespace loopread
