#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "loopread/colour/spaces.h"

namespace loopread {

/// A colour and how much of it there is (any unit, over 0).
struct WeightedColour {
    LinearRgb colour;
    double weight = 1;
};

struct PaletteColour {
    LinearRgb colour;   ///< mean in linear light of what fell to it
    double share = 0;   ///< of the whole weight; the shares add to 1
    std::string words;  ///< plain words, made unique within the palette ("dark blue", "dark blue 2")
};

/// The few colours that stand for many: k-means in OKLab, seeded, biggest share first.
///
/// @param colours  at least one, weights over 0
/// @param most     upper limit of colours; fewer come back where they would lie within CIEDE2000 5 of each other
/// @return         1..most colours, largest share first (ties: lighter first)
std::vector<PaletteColour> palette_of(std::span<const WeightedColour> colours, int most, std::uint64_t seed);

/// Index of the palette colour nearest in OKLab (ties: the lower index).
std::size_t nearest_in(const std::vector<PaletteColour>& palette, LinearRgb colour);

}  // namespace loopread
