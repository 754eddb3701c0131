#pragma once

#include <string>

#include "cli/blank_input.h"

namespace loopread::cli {

/// What the dye table starts from.
struct TableStart {
    std::string title;
    BlankOptions blank;
    KnitOptions knitting;
    Knitting settled;
    int knitters = 100;
    std::uint64_t seed = 1;
    Grams ball{50};  ///< weight of one strand
};

/// The document the dye table page opens with: the blank, its picture or layers, the knitting. Its pictures are in it,
/// no finer than the model reads them, the ravel edge on top.
/// @param layout  of the same source
std::string table_document(const BlankSource& source, const BlankLayout& layout, const TableStart& start);

}  // namespace loopread::cli
