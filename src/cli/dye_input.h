#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cli/blank_input.h"
#include "cli/options.h"
#include "loopread/base/files.h"
#include "loopread/dye/areas.h"
#include "loopread/dye/recipe.h"
#include "loopread/report/page.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// The dyeing as typed; every field is text until read.
struct DyeOptions {
    std::string fibre;
    std::vector<std::string> dyes, stocks, used, pastes, jars;
    std::string strengths, acid, acid_strength, ratio, dye_class, units = "metric";
    std::filesystem::path design;
    int areas = 6;  ///< areas that a flat picture is parted into, at the most
    bool allow_deep = false;
    std::string batch;
    std::vector<std::string> notes;
    std::filesystem::path record, from_record;
    CommonOptions common;
    BlankOptions blank;
};
void add_dyeing(CLI::App& command, DyeOptions& options);

/// What is painted where, as the design tells it.
struct DyedDesign {
    std::string name;
    std::vector<AreaShare> areas;
    PagePicture picture;
    std::vector<std::string> assumed, warnings;
};
DyedDesign read_dyed_design(const DyeOptions& options, Outputs& outputs);

/// @param design  if there is one
/// @throws Error(usage) for what cannot be read, names no area or no dye
struct DyeRequest {
    RecipeRequest request;
    std::vector<std::string> assumed;
    std::map<std::string, std::vector<std::string>> changed;  ///< settings that are other than typed, for a record
};
DyeRequest read_dyeing(const DyeOptions& options, const std::optional<DyedDesign>& design);

/// The same colourway on another weight of yarn: what went in then was for that batch, so it becomes the depth to dye
/// by where none was planned, and jars are to be weighed again.
/// @param options  as dyed then
DyeRequest for_other_weight(const DyeOptions& options, const std::optional<DyedDesign>& design, Grams fibre);

}  // namespace loopread::cli
