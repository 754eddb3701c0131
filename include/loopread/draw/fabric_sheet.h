#pragma once

#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

/// One piece of drawn fabric with its words.
struct FabricPanel {
    Image fabric;
    std::string title;    ///< "ball A"
    std::string caption;  ///< below; may be empty
};

struct FabricSheetScale {
    double pixels_per_cm = 0;     ///< of the drawn fabric: the scale bar
    double pixels_per_round = 0;  ///< for the round numbers up the left side; 0: none
    int rounds = 0;
    std::string counting = "round";  ///< what the numbers count
};

/// Panels side by side on one sheet, bottoms level, round numbers at the left, a scale bar in cm below.
Picture8 fabric_sheet(const std::vector<FabricPanel>& panels, const FabricSheetScale& scale);

}  // namespace loopread
