#pragma once

#include <string>
#include <vector>

#include "loopread/design/file.h"

namespace loopread::cli {

/// A design as its file says it.
/// @param stencils        the file name of each layer's stencil
/// @param ground_picture  instead of the ground's colour or fade; may be empty
std::string design_toml(const Design& design, const std::vector<std::string>& stencils,
                        const std::string& ground_picture);

}  // namespace loopread::cli
