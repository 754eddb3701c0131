#pragma once

#include <string>

#include "loopread/dye/recipe.h"

namespace loopread {

// The same words on the card, on the screen and in a record. Nobody's guess stands where an amount is unknown.
inline constexpr const char* kUnknown = "unknown";

std::string depth_text(const std::optional<DepthOfShade>& depth);
std::string stock_text(StockStrength stock);

/// What is poured in: "20 ml of vinegar", "1.5 g of citric acid crystals, dissolved first".
std::string acid_to_pour(const AcidAmount& acid, Units units);
/// With the band: "20 ml of 5 % vinegar (13 to 52.2 ml)".
std::string acid_words(const AcidAmount& acid, Units units);
/// "3 l, 30 ml on 1 g of yarn (8 to 50)".
std::string bath_words(const Recipe& recipe);
/// How to mix a paste and what it put on the yarn, a line each.
std::vector<std::string> paste_words(const PasteAmount& paste, Units units);
/// What all of the dye comes to.
std::string total_words(const Recipe& recipe);

}  // namespace loopread
