#include "loopread/dye/paste.h"

#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {

DepthOfShade paste_depth(StockStrength paste, PickUp pick_up) {
    // g in 100 ml is g in 100 g of paste, and pick-up is g of paste on 1 g of fibre
    return {paste.value * pick_up.value / kGramsPerMillilitre};
}

PickUp pick_up_of(Grams paste, Grams fibre) {
    require(fibre.value > 0, "fibre > 0");
    return {paste / fibre};
}

Thickener thickener_for(Millilitres paste, DyeClass dye_class) {
    const double cups = paste.value / kMillilitresPerCup;
    const Millilitres half_spoons{cups * kMillilitresPerTeaspoon / 2};
    if (dye_class == DyeClass::reactive)
        return {"sodium alginate",
                half_spoons,
                {},
                "a dye supplier's questions and answers: 1 US tsp to 2 US cups, high viscosity"};
    constexpr double kGramsASpoonOfGuar = 2.8;  // from memory
    return {"guar gum", half_spoons, Grams{cups / 2 * kGramsASpoonOfGuar},
            "1/2 US tsp to 1 US cup, about 0.6 g to 100 ml: common practice, no source"};
}

PasteStep paste_step(double strength) {
    require(strength > 0 && strength <= 1, "0 < strength <= 1");
    constexpr double kPalest = 1e-3;  // chosen: one part in a thousand colours nothing
    if (strength < kPalest) return {strength, 0, 1};
    constexpr int kMostParts = 16;
    constexpr double kNear = 1e-3;  // 0.333 is a third
    for (int parts = 1; parts <= kMostParts; ++parts) {
        const double paste = strength * parts;
        const double whole = std::round(paste);
        if (whole >= 1 && std::abs(paste - whole) < kNear * parts) return {strength, whole, parts - whole};
    }
    return {strength, 1, 1 / strength - 1};
}

std::string in_words(const PasteStep& step) {
    const auto parts = [](double count) { return number_text(count, 2) + (count == 1 ? " part " : " parts "); };
    if (!(step.plain_parts > 0)) return "paste as it is";
    if (!(step.paste_parts > 0)) return "plain paste alone, as so pale a paste colours nothing";
    return parts(step.paste_parts) + "paste to " + parts(step.plain_parts) + "plain paste";
}

}  // namespace loopread
