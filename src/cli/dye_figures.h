#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "cli/show_through.h"
#include "loopread/blank/defaults.h"
#include "loopread/sides/show_through.h"

namespace loopread::cli {

/// How far the dye goes into the yarn, and what of that was taken for want of a figure.
struct DyeFigures {
    double wrap = kDefaultWrap;
    double penetration = kDefaultPenetration;
    std::vector<std::string> assumed;
};

/// Is penetration one figure, or does each layer of a design bring its own?
enum class Penetration { of_all, by_layer };

/// From what is surest: typed, measured once on this yarn, told by photos of both sides, usual.
/// @param told  by the photos; may be null
DyeFigures dye_figures(const BlankOptions& options, const std::optional<YarnBase>& base, const ShowThrough* told,
                       Penetration penetration);

}  // namespace loopread::cli
