#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/base/text.h"
#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/photo/read.h"

namespace loopread::cli {

/// A blank's measures, with what was taken for them and what is doubtful about them.
struct PicturedMeasures {
    BlankLayout layout;
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};

/// @param header   of the picture that is laid on the blank; none for a blank of one colour
/// @param counted  stitches and rows counted in a photo: of the layer that lies before us, if it is a tube
/// @throws Error(usage) for measures that contradict each other or the picture
PicturedMeasures pictured_measures(const BlankOptions& options, const Lay& lay,
                                   const std::optional<PictureHeader>& header, const std::optional<CountPair>& counted);

}  // namespace loopread::cli
