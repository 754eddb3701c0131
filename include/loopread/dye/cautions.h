#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "loopread/dye/paste.h"

namespace loopread {

/// One caution and where it comes from. They travel with every amount of dye that is written or shown.
struct Caution {
    std::string_view words;
    std::string_view source;
};

/// The whole list, one for every output; some dyes have a caution more.
std::vector<Caution> cautions(DyeClass dye_class = DyeClass::acid);

/// "words (source)".
std::string in_words(const Caution& caution);

/// As comment lines for the head of a text file, each begun with `#`.
std::string caution_comments(DyeClass dye_class = DyeClass::acid);

}  // namespace loopread
