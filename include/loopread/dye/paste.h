#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "loopread/dye/units.h"

namespace loopread {

/// What kind of dye: the arithmetic of depth and stock holds for each, acid, heat and gum do not.
enum class DyeClass { acid, metal_complex, reactive };

/// A jar of paste on the scale, before and after painting.
struct WeighedJar {
    Grams before, after;
    Grams used() const { return before - after; }
};

/// Liquid taken up in grams on one gram of fibre.
using PickUp = Quantity<struct PickUpUnit>;

/// What painted yarn can hold: painting and steaming works with about its own weight of liquid (common practice, no
/// source).
inline constexpr PickUp kMostHeld{1.0};
/// A millilitre of paste or dilute stock weighs a gram (common practice, no source).
inline constexpr double kGramsPerMillilitre = 1.0;

/// Paste is not a bath: dye on fibre = paste strength x pick-up.
DepthOfShade paste_depth(StockStrength paste, PickUp pick_up);
/// @throws contract unless there is fibre
PickUp pick_up_of(Grams paste, Grams fibre);

/// Gum for so much paste.
struct Thickener {
    std::string_view name;
    Millilitres powder_spoon;     ///< a gum may be measured by the spoon; a dye never
    std::optional<Grams> weight;  ///< where a spoonful's weight is known: small amounts are weighed
    std::string_view source;
};
/// Guar, or for reactive dyes, with which guar reacts, alginate.
Thickener thickener_for(Millilitres paste, DyeClass dye_class);

/// A paler step: so many parts of full-strength paste to so many parts of PLAIN paste; water would thin the gum.
struct PasteStep {
    double strength = 1;  ///< of the full paste, over 0 to 1
    double paste_parts = 1, plain_parts = 0;
};
/// The smallest parts for a strength such as 1/2, 1/3, 2/3 (to within 0.1 %); else 1 part to 1 / strength - 1; plain
/// paste alone under 1/1000.
/// @throws contract unless 0 < strength <= 1
PasteStep paste_step(double strength);
/// "1 part paste to 3 parts plain paste".
std::string in_words(const PasteStep& step);

}  // namespace loopread
