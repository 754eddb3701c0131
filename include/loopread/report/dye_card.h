#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/dye/recipe.h"
#include "loopread/report/page.h"

namespace loopread {

/// A card to print on one page and keep with the batch.
struct DyeCard {
    std::string title;
    std::string batch;               ///< empty: a line to fill in; the date always is one, so that bytes stay the same
    std::vector<std::string> notes;  ///< written above the lines for more
    std::optional<PagePicture> picture;
    Recipe recipe;
};

/// One HTML file: no script, no network, nothing beside it needed. Fits an A4 and a Letter page.
/// All text is escaped; the picture is inlined.
std::string dye_card_html(const DyeCard& card);

/// How much stands on a card: a line for each dye, undyed area, amount used and warning, three for a paste,
/// one for a heading.
std::size_t card_lines(const Recipe& recipe);
/// With more of them a card may not fit one page. Seen in print, with the widest letters there are.
inline constexpr std::size_t kMostCardLines = 16;

}  // namespace loopread
