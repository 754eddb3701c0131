#include "raster/laid_flat_sock_rounds.h"

#include <algorithm>

namespace loopread {
namespace {

bool is_heel_width(const Round& round) {
    return round.section == Section::heel_flap ||
           (round.section == Section::heel && round.worked != Worked::in_the_round);
}

}  // namespace

SockRounds sock_rounds(const Garment& garment) {
    SockRounds parts;
    parts.start = garment.rounds.front().section == Section::toe ? Start::toe : Start::cuff;
    parts.heel = Heel::short_row;
    if (garment.waste_line) parts.heel = Heel::afterthought;
    for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
        const Round& round = garment.rounds[r];
        if (is_heel_width(round)) parts.stitches = 2 * round.front_from;
        if (round.section == Section::heel_flap) parts.heel = Heel::flap;
        if (round.section == Section::cuff || round.section == Section::leg)
            parts.leg.push_back(r);
        else if (round.section == Section::heel_flap)
            parts.flap.push_back(r);
        else if (round.section == Section::heel_turn)
            parts.turn.push_back(r);
        else if (round.section == Section::heel)
            parts.heel_rows.push_back(r);
        else if (round.section == Section::gusset && round.front_from == round.stitches)
            parts.first_gusset = r;
        else if (round.section == Section::gusset)
            parts.gusset.push_back(r);
        else
            parts.foot.push_back(r);
        if (parts.heel == Heel::afterthought && round.section != Section::heel)
            parts.stitches = std::max(parts.stitches, round.stitches);
    }
    if (parts.start == Start::toe)
        for (auto* list : {&parts.leg, &parts.flap, &parts.turn, &parts.gusset, &parts.foot})
            std::reverse(list->begin(), list->end());
    if (parts.start == Start::toe && parts.heel == Heel::short_row)
        std::reverse(parts.heel_rows.begin(), parts.heel_rows.end());
    return parts;
}

std::vector<Round> rounds_of(const Garment& garment, const std::vector<std::size_t>& indices) {
    std::vector<Round> rounds;
    for (const std::size_t index : indices) rounds.push_back(garment.rounds[index]);
    return rounds;
}
int back_seen(const Round& round) {
    return round.front_from / 2;
}
int front_seen(const Round& round) {
    return (round.stitches - round.front_from) / 2;
}
}  // namespace loopread
