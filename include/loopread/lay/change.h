#pragma once

#include <string>
#include <vector>

#include "loopread/lay/ways.h"
#include "loopread/shares/advice.h"
#include "loopread/shares/look.h"

namespace loopread {

struct OneChange {
    bool needed = false;
    std::string words;  ///< what to do and what it brings, or why nothing needs to be done
};

/// The one thing most worth changing before the dye is mixed, in a sentence or two: too little contrast, then pools at
/// the asked-for round (another stitch count near by, else another lay), then pools at other rounds that customers
/// knit, then a pattern that slants without counting as pooling; else that nothing is.
/// @param risks  over rounds of 75 to 100 cm at least
/// @param ways   ranked for freedom from pools; empty where the design cannot be laid another way
OneChange one_change(const std::vector<RoundRisk>& risks, const AskedRound& asked, const FabricLook& look,
                     const std::vector<JudgedWay>& ways, const Way& as_asked);

}  // namespace loopread
