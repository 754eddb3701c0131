#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/base/text.h"
#include "loopread/blank/layout.h"

namespace loopread {

/// What the dyer measured of her blank; anything left open follows from the rest.
struct GivenMeasures {
    std::optional<CountPair> blank;            ///< stitches across x rows
    std::optional<LengthPair> size;            ///< width x length
    std::optional<Millimetres> strand_length;  ///< of one strand
    std::optional<Millimetres> loop;           ///< yarn in one loop
    std::optional<int> strands;
    Construction construction = Construction::flat;
    /// Width over length of the picture as it will lie on the blank, where it fills the blank: tells proportions when
    /// nothing else does.
    std::optional<double> picture_width_per_length;
};

/// The layout, and what of it was not measured or does not agree.
struct SettledMeasures {
    BlankLayout layout;
    std::vector<std::string> assumed;   ///< "46 x 214 stitches x rows", ...: figures that are defaults
    std::vector<std::string> warnings;  ///< given figures that contradict each other, and which to measure again
};

/// Defaults hold together or not at all: once any of blank, size, strand length and loop is given, the rest follow from
/// what is given (w = l/4.2, c = l/5.5, l = 21 mm if nothing fixes it). The loop length, in order of trust: measured;
/// strand length / (stitches x rows); sqrt(23.1 w c). Given figures that miss each other by over 10 % are a warning.
/// @throws Error(usage) for figures that no blank can have
/// Source: [Munden 1959], fully relaxed.
SettledMeasures settled(const GivenMeasures& given);

/// The size typed the wrong way round, where the picture's shape tells: fits its length across within 15 % and misses
/// the way it was typed by over 40 %.
bool size_looks_turned(const LengthPair& size, double picture_width_per_length);

}  // namespace loopread
