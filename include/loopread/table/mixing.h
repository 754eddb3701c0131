#pragma once

#include <string>
#include <vector>

#include "loopread/dye/areas.h"
#include "loopread/dye/recipe.h"
#include "loopread/table/table.h"

namespace loopread {

/// How much of the yarn each layer that is on reaches, in their order, as painted: what washes out was painted too.
/// Takes a moment.
std::vector<AreaShare> reached_areas(const DyeTable& table);

/// What is to be mixed for the table's layers.
struct TableMix {
    struct Layer {
        std::string id;
        std::size_t place = 0;  ///< of recipe.places and recipe.dyes
        enum class On { bath, paste, stock } on = On::paste;
        std::vector<std::string> words;  ///< what to mix, a line each
    };
    Recipe recipe;
    std::vector<Layer> layers;
};
/// @param areas  reached_areas of this table
/// @throws Error(usage) as recipe does
TableMix table_mix(const DyeTable& table, const std::vector<AreaShare>& areas, Units units);

/// The amounts as a text file, with every caution.
std::string mix_text(const TableMix& mix, const std::string& title);

}  // namespace loopread
