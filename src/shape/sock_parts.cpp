#include <algorithm>
#include <array>

#include "loopread/base/require.h"
#include "loopread/shape/sock.h"

namespace loopread {

namespace {

/// Heel stitches not yet worked at either edge; right is column 0.
struct Waiting {
    int right = 0;
    int left = 0;
};

HeelRow row_between(int stitches, int heel_stitches, const Waiting& waiting) {
    return {stitches, waiting.right, heel_stitches - waiting.right - waiting.left};
}

}  // namespace

HeelTurn heel_turn(int heel_stitches, int past_middle) {
    require(heel_stitches % 2 == 0, "heel_stitches is even");
    require(past_middle >= 0 && heel_stitches >= 2 * past_middle + 6, "heel_stitches >= 2 * past_middle + 6");
    const int edge = heel_stitches / 2 - past_middle - 3;  // waits at either edge after the first two rows
    Waiting waiting{0, edge};
    HeelTurn turn;
    turn.rows.push_back(row_between(heel_stitches / 2 + past_middle + 2, heel_stitches, waiting));
    waiting.right = edge;
    turn.stitches_after = 2 * past_middle + 4;
    turn.rows.push_back(row_between(turn.stitches_after, heel_stitches, waiting));
    for (int row = 0; waiting.right > 0 || waiting.left > 0; ++row) {
        int& ahead = row % 2 == 0 ? waiting.left : waiting.right;
        // The decrease closes the gap; the stitch worked after it is missing once a single stitch was left.
        const int taken = std::min(2, ahead);
        ahead -= taken;
        turn.stitches_after += taken - 1;
        turn.rows.push_back(row_between(turn.stitches_after, heel_stitches, waiting));
    }
    return turn;
}

HeelTurn heel_turn_upwards(int heel_stitches) {
    require(heel_stitches >= 12, "heel_stitches >= 12");
    int made = heel_turn(heel_stitches).stitches_after;
    const int increases = heel_stitches - made;
    Waiting waiting;
    HeelTurn turn;
    turn.stitches_after = heel_stitches;
    for (int row = 0; row < increases; ++row) {
        int& ahead = row % 2 == 0 ? waiting.left : waiting.right;
        // The first row at either edge leaves 1 stitch behind its increase, each later one 2 more.
        const int left_out = row < 2 ? 1 : 2;
        ahead += left_out;
        made += 1 - left_out;
        turn.rows.push_back(row_between(made, heel_stitches, waiting));
    }
    made += waiting.left;
    waiting.left = 0;
    turn.rows.push_back(row_between(made, heel_stitches, waiting));
    return turn;
}

std::vector<HeelRow> short_row_heel(int heel_stitches) {
    require(heel_stitches >= 3, "heel_stitches >= 3");
    // The nearest number to a third that leaves as many stitches on either side.
    const int third = (heel_stitches + 1) / 3;
    const int middle = (heel_stitches - third) % 2 == 0 ? third : 3 * third < heel_stitches ? third + 1 : third - 1;
    std::vector<HeelRow> rows;
    for (int row = 1; row <= heel_stitches - middle; ++row)
        rows.push_back({heel_stitches - row, row / 2, heel_stitches - row});
    for (int row = 1; row <= heel_stitches - middle; ++row)
        rows.push_back({middle + row, (heel_stitches - middle) / 2 - row / 2, middle + row});
    return rows;
}

std::vector<int> gusset_rounds(int start, int end) {
    require(start >= end && (start - end) % 2 == 0, "start is over end by an even number");
    std::vector<int> rounds;
    for (int stitches = start; stitches > end; stitches -= 2) {
        rounds.push_back(stitches);
        rounds.push_back(stitches - 2);
    }
    return rounds;
}

std::vector<int> toe_rounds(int stitches) {
    require(stitches > 0 && stitches % 4 == 0, "stitches is a multiple of 4");
    constexpr int kGrafted = 16;  // what is left to graft or draw together: common practice, no source
    std::vector<int> rounds;
    int left = stitches;
    while (2 * left > stitches && left > 4) {
        left -= 4;
        rounds.insert(rounds.end(), 2, left);
    }
    while (left > kGrafted) rounds.push_back(left -= 4);
    return rounds;
}

Needles cast_on_needles(int stitches) {
    require(stitches >= 0 && stitches % 4 == 0, "stitches is a multiple of 4");
    const int outer = stitches / 12 * 4;
    return {outer, stitches - 2 * outer, outer};
}

Needles gusset_needles(const GussetPickUp& pick_up) {
    require(pick_up.heel % 2 == 0, "heel is even");
    const int gusset = pick_up.heel / 2 + pick_up.picked_up + pick_up.instep_moved;
    return {gusset, pick_up.instep - 2 * pick_up.instep_moved, gusset};
}

}  // namespace loopread
