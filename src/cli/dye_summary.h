#pragma once

#include <iosfwd>
#include <string>

#include "cli/summary.h"
#include "loopread/dye/recipe.h"

namespace loopread::cli {

/// The whole recipe; what is unknown is null.
Json recipe_json(const Recipe& recipe);

/// The figures in plain lines, for the screen.
std::string recipe_lines(const Recipe& recipe);

}  // namespace loopread::cli
