#pragma once

#include <string>
#include <vector>

#include "loopread/colour/palette.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// A stretch of one palette colour.
struct PaletteRun {
    double start_mm = 0;
    double length_mm = 0;
    std::size_t colour = 0;  ///< index into the palette
};

/// The strand as runs of palette colours: each piece takes the palette colour nearest to the mean over `window_mm`
/// about its middle, so that the flecks inside one loop do not cut every run in three; then neighbours of one colour
/// join. An end may so lie up to half a window off, mostly in favour of the lighter colour.
///
/// @param window_mm  over 0; a loop or so
std::vector<PaletteRun> reduced(const ColourRun& strand, const std::vector<PaletteColour>& palette, double window_mm);

/// runs.csv: strand,start_m,length_cm,colour,hex
std::string runs_csv(const std::vector<ColourRun>& strands, const std::vector<PaletteColour>& palette,
                     double window_mm);

inline constexpr int kPaletteColours = 8;  ///< most of a yarn's that are told of

/// The palette of all strands together, by length.
std::vector<PaletteColour> yarn_palette(const std::vector<ColourRun>& strands, int most, std::uint64_t seed);

}  // namespace loopread
