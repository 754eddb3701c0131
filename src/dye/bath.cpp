#include "loopread/dye/bath.h"

#include <algorithm>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr std::string_view kSheetSteam = "instructions for steaming skeins; common practice, no source";

void add_bath(std::vector<DyeStep>& steps, const Process& process) {
    const auto heat = [&](double c) { return temperature_text(Celsius{c}, process.units); };
    steps.push_back({"Fill the pot",
                     "Pour " + volume_text(process.bath_volume, process.units) +
                         " of water, stir in the stock, then stir the acid into it: " + process.acid_words +
                         ". Part of the acid added late evens the colour; more acid and heat strike faster and "
                         "patchier.",
                     "a dyestuff maker's wool and nylon sheet; common practice, no source"});
    // [Cookson 1964]: shrink-resist wool, abstract
    steps.push_back(
        {"Heat slowly",
         "Wet yarn in at " + heat(38) + ". Raise slowly to " +
             temperature_text(Celsius{85}, Celsius{93}, process.units) + "; superwash to no more than " + heat(90) +
             ".",
         "a dyestuff maker's wool and nylon sheet; an acid dye maker's instruction sheet; Cookson, Hine, McPhee, "
         "J. Soc. Dyers Colourists 1964 (abstract)"});
    steps.push_back({"Hold", "Stay at that heat for 30-40 minutes, until the bath is clear.",
                     "an acid dye maker's instruction sheet; a second acid dye instruction sheet"});
    steps.push_back({"Cool", "Let it cool slowly, to " + heat(71) + " at least, before you lift the yarn out. Rinse.",
                     "a dyestuff maker's wool and nylon sheet"});
}

void add_paint(std::vector<DyeStep>& steps, const Process& process) {
    const bool dipped = process.bath == Process::Bath::dipped;
    steps.push_back({"Blend the paste",
                     "Blend the gum plain and cool, let it rest an hour, then stir in the dye. It keeps about a week.",
                     "a dye supplier's questions and answers; common practice, no source"});
    steps.push_back({"Paint",
                     std::string(dipped ? "On the cooled, rinsed, damp ground" : "On the damp blank") +
                         ", acid in its water: stencil from strong to pale; thin with PLAIN paste, never with water. "
                         "Weigh the jars before and after.",
                     kCommonPractice});
    steps.push_back(
        {"Steam",
         "Wrap it. Steam at a simmer for 45 minutes (30 at the least), water below the rack; turn the packet "
         "half-way.",
         kSheetSteam});
    steps.push_back({"Unwrap", "Let the packet cool completely. Rinse until no gum is left: dried gum stiffens.",
                     "instructions for steaming skeins; common practice, no source"});
}

}  // namespace

std::vector<PublishedBand> liquor_ratios() {
    return {{8, 20, "US patent 5,925,149, 1999"},  // [US 5925149]
            {20, 20, "a craft supplier's note"},
            {30, 50, "a textile text on acid dye classes, 2007"},
            {40, 40, "a hand dyer's method note"}};
}

PublishedBand published_ratios() {
    const std::vector<PublishedBand> all = liquor_ratios();
    PublishedBand widest = all.front();
    for (const PublishedBand& band : all) {
        widest.least = std::min(widest.least, band.least);
        widest.most = std::max(widest.most, band.most);
    }
    widest.source =
        "US patent 5,925,149, 1999; a craft supplier's note; a hand dyer's method note; a textile text on acid dye "
        "classes, 2007";
    return widest;
}

Millilitres bath_for(Grams fibre, double ratio) {
    require(ratio > 0, "ratio > 0");
    return {fibre.value * ratio};
}

std::vector<DyeStep> dye_steps(const Process& process) {
    const bool dipped = process.bath == Process::Bath::dipped;
    const bool painted = process.paint == Process::Paint::painted;
    std::vector<DyeStep> steps;
    if (process.dye_class != DyeClass::acid) {
        steps.push_back({"Stock and paste",
                         "The amounts here hold for any dye. Acid or alkali, heat and time do not: "
                         "take them from the maker's sheet of this dye.",
                         kCommonPractice});
        return steps;
    }
    std::string soak = "The yarn, weighed dry, for 15-30 minutes in lukewarm water";
    if (!dipped && painted) soak += " with the acid stirred into it: " + process.acid_words;
    steps.push_back({"Soak", soak + ".", kCommonPractice});
    if (dipped) add_bath(steps, process);
    if (painted) add_paint(steps, process);
    return steps;
}

std::vector<std::string> class_differences(DyeClass dye_class) {
    switch (dye_class) {
        case DyeClass::acid:
            return {};
        case DyeClass::metal_complex:
            return {
                "metal-complex dyes: depth and stock are worked out the same way, but they want another, mostly "
                "weaker acid and rise slowly to the boil; no acid, heat or time is given, as there is no source "
                "for them here: take them from the maker's sheet"};
        case DyeClass::reactive:
            return {
                "reactive dyes: depth and stock are worked out the same way, but most are fixed with alkali on "
                "plant fibre and only some with acid on wool; no acid, heat or time is given: take them from the "
                "maker's sheet",
                "reactive dyes react with guar: thicken with alginate (a dye supplier's questions and answers)"};
    }
    return {};
}

}  // namespace loopread
