#pragma once

#include <cmath>

#include "cli/dye_input.h"
#include "cli/dye_summary.h"
#include "fuzz/promises.h"

namespace loopread::fuzz {

inline void hold_numbers(const cli::Json& json) {
    if (json.is_number_float()) hold(std::isfinite(json.get<double>()), "a figure is a number");
    if (!json.is_structured()) return;
    for (const cli::Json& part : json) hold_numbers(part);
}

/// The recipe that the options of `dye` ask for is refused, or told in words and numbers.
inline void hold_recipe(const cli::DyeOptions& options) {
    const auto dyeing = unless_refused([&] { return cli::read_dyeing(options, std::nullopt); });
    if (!dyeing) return;
    const auto made = unless_refused([&] { return recipe(dyeing->request); });
    if (!made) return;
    hold(!cli::recipe_lines(*made).empty(), "a recipe says something");
    hold_numbers(cli::recipe_json(*made));
}

}  // namespace loopread::fuzz
