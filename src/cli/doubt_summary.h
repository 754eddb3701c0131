#pragma once

#include <string>

#include "cli/doubt_input.h"
#include "cli/summary.h"

namespace loopread::cli {

/// What a figure is, and by which option it is told once it is known.
std::string finding_out_by_options(Unmeasured what);

/// @param sentence  as told elsewhere
Json how_sure_json(const HowSure& sure, const Doubts& doubts, const Knitting& knitting, const std::string& sentence);

}  // namespace loopread::cli
