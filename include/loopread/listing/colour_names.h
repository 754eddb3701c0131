#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "loopread/colour/palette.h"

namespace loopread {

/// A colour of the yarn under the name it is sold by.
struct NamedShare {
    LinearRgb colour;
    std::string hex;
    std::string words;  ///< plain ones: "dark blue"
    std::string name;   ///< the dyer's, or the plain words
    double share = 0;   ///< of the yarn; all together 1
};

/// One line of a file of names: for a colour, by its hex or by its plain words.
struct ColourNameLine {
    int line = 0;
    std::string key;  ///< "#2f7d9b" or "dark blue", lower case
    std::string name;
};

/// A file of names: `#2f7d9b = Harbour` or `dark blue = Harbour` a line; empty lines and those that begin with "# " are
/// passed over.
/// @throws Error(input) with all faults and their line numbers
std::vector<ColourNameLine> parsed_colour_names(std::string_view text, std::string_view file);

/// The palette under those names, and the lines that name none of its colours.
struct NamedPalette {
    std::vector<NamedShare> colours;  ///< in the palette's order
    std::vector<ColourNameLine> unused;
};
/// A hex names the palette colour nearest to it, if that is within CIEDE2000 5 (as far apart as the palette keeps its
/// colours); words name the colour of these words. Of two lines for one colour the later one holds.
NamedPalette named(const std::vector<PaletteColour>& palette, const std::vector<ColourNameLine>& names);

/// The file of names to change and use again.
std::string colour_names_file(const std::vector<NamedShare>& colours);

}  // namespace loopread
