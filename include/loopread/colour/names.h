#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>

#include "loopread/colour/spaces.h"

namespace loopread {

struct NamedColour {
    std::string_view name;
    Srgb8 colour;
};

/// The plain names that every command knows: undyed, white, black, and a hue with a number ("red-1", "blue-2").
/// 1 is a dye at full strength, 2 the same dye at a third of its K/S over that of undyed yarn, 3 at a tenth: what the
/// same stock gives when thinned. The dyes are chosen; grey is a thinned black.
std::span<const NamedColour> built_in_colours();

/// Colours by name: the built-in ones and those the user adds.
class ColourBook {
public:
    /// "NAME=#rrggbb"; the later of two wins. @throws Error(usage) if it is not of that form
    void add(std::string_view name_and_hex);
    /// "#rrggbb" or a known name; a name that was added goes before a built-in one. @throws Error(usage) naming `what`
    /// and the names there are
    Srgb8 colour(std::string_view text, std::string_view what) const;

private:
    std::map<std::string, Srgb8, std::less<>> added_;
};

/// Plain words for a colour: lightness and hue ("dark blue", "pale yellow", "mid grey", "near black", "off-white").
/// chosen: bands of lightness, chroma and hue angle in OKLab (in CIELAB a blue turns purple as it pales); no standard
/// stands behind them.
std::string plain_words(Lab colour);

}  // namespace loopread
