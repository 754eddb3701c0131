#include "loopread/yarn/reduced.h"

#include <algorithm>
#include <cmath>

#include "colour/nearest.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

constexpr std::string_view kHeader = "strand,start_m,length_cm,colour,hex\n";

void append_rows(std::string& text, const std::vector<PaletteRun>& runs, const std::vector<PaletteColour>& palette,
                 std::size_t strand) {
    for (const PaletteRun& run : runs) {
        const PaletteColour& colour = palette[run.colour];
        // both to the whole millimetre, the length between rounded ends, so that the lengths add up to the starts
        const double start_mm = std::round(run.start_mm);
        text += std::to_string(strand) + ",";
        append_fixed(text, start_mm / 1000, 3);
        text += ',';
        append_fixed(text, (std::round(run.start_mm + run.length_mm) - start_mm) / 10, 1);
        text += "," + colour.words + "," + hex_text(srgb8_from_linear(colour.colour)) + "\n";
    }
}

}  // namespace

std::vector<PaletteRun> reduced(const ColourRun& strand, const std::vector<PaletteColour>& palette, double window_mm) {
    require(!palette.empty(), "a palette has at least one colour");
    require(window_mm > 0, "a window has a width");
    std::vector<Oklab> places;
    for (const PaletteColour& one : palette) places.push_back(oklab_from_linear(one.colour));

    std::vector<PaletteRun> runs;
    for (const Piece& piece : strand.pieces()) {
        const double middle_mm = piece.start_mm + piece.length_mm / 2;
        const double from_mm = std::max(0.0, middle_mm - window_mm / 2);
        const double to_mm = std::min(strand.length_mm(), middle_mm + window_mm / 2);
        const std::size_t colour = nearest_index(places, oklab_from_linear(strand.mean(from_mm, to_mm)));
        if (runs.empty() || runs.back().colour != colour) runs.push_back({piece.start_mm, 0, colour});
        runs.back().length_mm = piece.start_mm + piece.length_mm - runs.back().start_mm;
    }
    return runs;
}

std::string runs_csv(const std::vector<ColourRun>& strands, const std::vector<PaletteColour>& palette,
                     double window_mm) {
    std::string text(kHeader);
    for (std::size_t i = 0; i < strands.size(); ++i)
        append_rows(text, reduced(strands[i], palette, window_mm), palette, i + 1);
    return text;
}

std::vector<PaletteColour> yarn_palette(const std::vector<ColourRun>& strands, int most, std::uint64_t seed) {
    std::vector<WeightedColour> colours;
    for (const ColourRun& strand : strands)
        for (const Piece& piece : strand.pieces()) colours.push_back({piece.colour, piece.length_mm});
    return palette_of(colours, most, seed);
}

}  // namespace loopread
