#include "loopread/dye/cautions.h"

#include "loopread/dye/bath.h"

namespace loopread {
namespace {

// One list. Where a document is named, it says so in its own words; the rest is marked.
constexpr Caution kForAll[] = {
    {"Treat dye powder as a possible sensitiser: dust mask, gloves, long sleeves, air that moves away from you, no "
     "eating; wipe up wet, never sweep or blow.",
     "NIOSH 97-107, 1997; HSE, Dyes and dyeing; common practice, no source"},
    {"Weigh powder once, into stock, with slow movements close above the jar. Who is pregnant or asthmatic asks a "
     "doctor first.",
     "NIOSH 97-107, 1997; a university's textile handout; a class safety handout"},
    {"Speckle with thickened stock, never with shaken powder.", "NIOSH 97-107, 1997; common practice, no source"},
    {"Blend gum plain and cool, before any dye; that jar and blender are never for food again.", kCommonPractice},
    {"Pots, spoons and microwaves that met dye are never for food again.",
     "art teachers' health and safety note on dyes"},
    {"A bath near the boil scalds: use tongs and mitts, lift the lid away from your face.",
     "instructions for steaming skeins; common practice, no source"},
    {"Steam: the pot never runs dry, the packet is cooled before it is opened; no pressure cooker, no microwave that "
     "is used for food.",
     "instructions for steaming skeins; common practice, no source"},
    {"Acid into water, never water into acid. Citric acid stings the eyes, vinegar a little; concentrated acetic acid "
     "burns and has no place here.",
     "safety data sheets, from memory"},
    {"No bleach near acid: together they give off chlorine.", kCommonPractice},
    {"Label and date every jar; keep all of it out of reach of children and pets.", kCommonPractice},
    {"Let the bath clear, then pour it away as your local rules say; never into a storm drain.", kCommonPractice},
    {"Read the maker's safety data sheet. Local codes and licensed practice come before this card.",
     "HSE, Dyes and dyeing"},
};

constexpr Caution kReactive{"Some reactive dyes sensitise the lungs: a respirator, not a paper mask, for the powder.",
                            "HSE, Dyes and dyeing; common practice, no source"};
constexpr Caution kMetalComplex{
    "Metal-complex dyes hold chromium or cobalt: ask how the bath may be disposed of before you begin.",
    "safety data sheets, from memory"};

}  // namespace

std::vector<Caution> cautions(DyeClass dye_class) {
    std::vector<Caution> list(std::begin(kForAll), std::end(kForAll));
    if (dye_class == DyeClass::reactive) list.insert(list.begin() + 1, kReactive);
    if (dye_class == DyeClass::metal_complex) list.push_back(kMetalComplex);
    return list;
}

std::string in_words(const Caution& caution) {
    return std::string(caution.words) + " (" + std::string(caution.source) + ")";
}

std::string caution_comments(DyeClass dye_class) {
    std::string text;
    for (const Caution& caution : cautions(dye_class)) text += "# " + in_words(caution) + "\n";
    return text;
}

}  // namespace loopread
