#pragma once

#include <cstdint>
#include <vector>

#include "loopread/draw/palette_card.h"
#include "loopread/listing/colour_names.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// The colours that the eye tells apart along yarn: of means over a loop's length, so that what lay hidden in a loop
/// and what was painted count as the one colour they make from where a buyer stands.
/// Their words are those of the dye in them: parts far from undyed yarn count most, but for a colour most of which is
/// undyed.
struct SeenPaletteOptions {
    double loop_mm = 21;  ///< over 0 (require)
    int most = 6;
    LinearRgb undyed{0.9, 0.85, 0.74};
    std::uint64_t seed = 1;
};
std::vector<PaletteColour> seen_palette(const std::vector<ColourRun>& strands, const SeenPaletteOptions& options);

/// Yarn of each colour wound round a card, bands as wide as their shares.
struct YarnWrap {
    Picture8 picture;
    Srgb8 paper;                     ///< on which it lies
    std::vector<PaletteBand> bands;  ///< in the order of the colours, names and shares filled in
};

struct WrapOptions {
    int columns = 1000, rows = 1600;
    Millimetres diameter{0.715};
    double loop_mm = 21;  ///< of the blank: yarn is told apart by its colour over so much
};

/// @param strands  whose palette the colours are, in this order
YarnWrap yarn_wrap(const std::vector<ColourRun>& strands, const std::vector<NamedShare>& colours,
                   const WrapOptions& options);

}  // namespace loopread
