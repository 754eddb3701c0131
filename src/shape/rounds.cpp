#include "loopread/shape/rounds.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {

std::string_view section_name(Section section) {
    switch (section) {
        case Section::plain:
            return "plain";
        case Section::cuff:
            return "cuff";
        case Section::leg:
            return "leg";
        case Section::heel_flap:
            return "heel flap";
        case Section::heel_turn:
            return "heel turn";
        case Section::gusset:
            return "gusset";
        case Section::heel:
            return "heel";
        case Section::foot:
            return "foot";
        case Section::toe:
            return "toe";
        case Section::brim:
            return "brim";
        case Section::body:
            return "body";
        case Section::crown:
            return "crown";
        case Section::growing:
            return "growing rows";
    }
    require(false, "a known section");
    return {};
}

std::string section_in_words(Section section) {
    std::string words(section_name(section));
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

long long total_stitches(const Garment& garment) {
    long long total = 0;
    for (const Round& round : garment.rounds) total += round.stitches;
    return total;
}

long long stitches_in(const Garment& garment, Section section) {
    long long total = 0;
    for (const Round& round : garment.rounds) total += round.section == section ? round.stitches : 0;
    return total;
}

int rounds_in(const Garment& garment, Section section) {
    return static_cast<int>(std::count_if(garment.rounds.begin(), garment.rounds.end(),
                                          [&](const Round& round) { return round.section == section; }));
}

bool counts_for_pooling(const Round& round) {
    switch (round.section) {
        case Section::plain:
        case Section::leg:
        case Section::foot:
        case Section::body:
            return true;
        case Section::cuff:
        case Section::heel_flap:
        case Section::heel_turn:
        case Section::gusset:
        case Section::heel:
        case Section::toe:
        case Section::brim:
        case Section::crown:
        case Section::growing:
            return false;
    }
    require(false, "a known section");
    return false;
}

double column_of(const Round& round, int stitch) {
    require(stitch >= 0 && stitch < round.stitches, "a stitch of this round");
    const double across = round.columns_across;
    const double along = (stitch + 0.5) * across / round.stitches;
    if (round.worked == Worked::in_the_round) return std::fmod(round.columns_from + along, across);
    return round.columns_from + (round.runs == Runs::on ? along : across - along);
}

Half half_of(const Round& round, int stitch) {
    return column_of(round, stitch) < round.front_from ? Half::back : Half::front;
}

}  // namespace loopread
