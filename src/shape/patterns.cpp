#include "loopread/shape/patterns.h"

namespace loopread {

namespace {

constexpr Worked kRound = Worked::in_the_round;
constexpr Worked kFlat = Worked::back_and_forth;

}  // namespace

// Widths and lengths: common practice, no source. A hat is a head of 56 cm less 5 cm of ease; a shawl grows from a few
// stitches at the neck by one at either end of every row.
const std::vector<Pattern>& patterns() {
    static const std::vector<Pattern> kPatterns = {
        {.name = "tube",
         .width_cm = 20,
         .stretches = {{.section = Section::plain, .worked = kRound, .extent = Extent::asked, .cm = 20}}},
        {.name = "flat",
         .width_cm = 20,
         .stretches = {{.section = Section::plain, .worked = kFlat, .extent = Extent::asked, .cm = 20}}},
        {.name = "hat",
         .width_cm = 51,
         .multiple = 8,
         .least = 16,
         .stretches = {{.section = Section::brim, .worked = kRound, .texture = Texture::rib, .cm = 4},
                       {.section = Section::body, .worked = kRound, .extent = Extent::asked, .cm = 9},
                       {.section = Section::crown, .worked = kRound, .change = -8, .every = 2, .until = 8}}},
        {.name = "scarf",
         .width_cm = 22.5,
         .multiple = 4,
         .stretches = {{.section = Section::body, .worked = kFlat, .extent = Extent::asked, .cm = 150}}},
        {.name = "cowl",
         .width_cm = 58,
         .multiple = 4,
         .stretches = {{.section = Section::brim, .worked = kRound, .texture = Texture::rib, .cm = 2},
                       {.section = Section::body, .worked = kRound, .extent = Extent::asked, .cm = 21},
                       {.section = Section::brim, .worked = kRound, .texture = Texture::rib, .cm = 2}}},
        {.name = "shawl",
         .width_cm = 100,
         .least = 9,
         .cast_on = 7,
         .stretches = {{.section = Section::growing, .worked = kFlat},
                       {.section = Section::growing, .worked = kFlat, .extent = Extent::asked, .change = 2}}},
    };
    return kPatterns;
}

}  // namespace loopread
