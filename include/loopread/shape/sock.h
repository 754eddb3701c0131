#pragma once

#include <optional>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/shape/gauge.h"
#include "loopread/shape/rounds.h"

namespace loopread {

/// Where the knitting starts: from the cuff down, or from the toe up.
enum class Start { cuff, toe };

enum class Heel {
    flap,          ///< flap, turn and gusset
    short_row,     ///< rows that get shorter, then longer again, on half the stitches
    afterthought,  ///< leg and foot knitted straight through over a line of waste yarn, the heel put in last
};

/// How a sock is made; what is not given as a length is this many rounds.
struct SockCut {
    Start start = Start::cuff;
    Heel heel = Heel::flap;
    Texture leg = Texture::plain;
    std::optional<Millimetres> foot_round = std::nullopt;   ///< around the ball of the foot
    std::optional<Millimetres> foot_length = std::nullopt;  ///< heel to tip of the toe
    std::optional<Millimetres> leg_length = std::nullopt;   ///< from the cuff to the heel
    std::optional<Millimetres> cuff_length = std::nullopt;
    int cuff_rounds = 16;
    int leg_rounds = 60;
    int foot_rounds = 50;  ///< plain ones, between heel or gusset and toe
};

struct SockSize {
    std::optional<int> stitches = std::nullopt;  ///< goes before foot_round; 64 if there is neither
    Gauge gauge = {};
    SockCut cut = {};
};

/// Nearest multiple of 4 to gauge x foot round x 0.9 (halfway: the larger): a sock is a tenth smaller than the foot.
/// Source of the tenth: How to Knit Socks (2015), ch. 3.
/// @throws Error(usage) for a gauge of 0, a foot under 8 or over 40 cm around, or fewer than 24 stitches
int sock_stitches(Millimetres foot_round, const Gauge& gauge);

/// A sock round by round. Rounds begin where the heel does, so columns 0 to N/2 - 1 are the back half.
///
/// @throws Error(usage) for stitches under 24 or no multiple of 4, lengths no foot or leg has, a foot too short for its
///         heel and toe
/// Source: common practice; its counts agree with the published directions named in the parts below.
Garment sock(const SockSize& size);

// ---- the parts a sock is made of

/// A row of a heel: stitches made, and the part of the heel's full width it covers.
struct HeelRow {
    int stitches = 0;
    int columns_from = 0;
    int columns_across = 0;

    bool operator==(const HeelRow&) const = default;
};
struct HeelTurn {
    std::vector<HeelRow> rows;  ///< the first runs on, the second back, and so forth
    int stitches_after = 0;     ///< of the heel: fewer going down, all of them going up
};

/// The turn below a flap. Row 1: knit to `past_middle` stitches beyond the middle, decrease, knit 1; row 2: slip 1,
/// purl twice `past_middle` + 1, decrease, purl 1; then each row takes the gap's two stitches together and one more.
/// @param heel_stitches  even, at least twice `past_middle` + 6 (require)
/// @param past_middle    2 in most directions; the Red Cross directions of the First World War take 1
HeelTurn heel_turn(int heel_stitches, int past_middle = 2);

/// The same heel from below, between gussets: as many stitches as heel_turn leaves, one increase a row while the rows
/// get shorter (wrap and turn), until the flap is `heel_stitches` wide; then a row to its far edge.
/// @param heel_stitches  even, at least 12 (require)
HeelTurn heel_turn_upwards(int heel_stitches);

/// Rows each one stitch shorter (wrap and turn) until about a third is left in the middle, then each one longer until
/// all are worked.
/// @param heel_stitches  at least 3 (require)
std::vector<HeelRow> short_row_heel(int heel_stitches);

/// Rounds between the full gusset and the foot: a plain round, then one that takes 2 stitches, and so on. The first is
/// the one in which the stitches are picked up.
/// @param start  over `end` by an even number (require)
std::vector<int> gusset_rounds(int start, int end);

/// Toe: 4 stitches fewer every other round down to half, then every round down to 16. Likewise the afterthought heel.
/// @param stitches  multiple of 4 (require)
std::vector<int> toe_rounds(int stitches);

/// Stitches on three needles.
struct Needles {
    int first = 0, second = 0, third = 0;

    int total() const { return first + second + third; }
    bool operator==(const Needles&) const = default;
};

/// A cast-on shared out so that no rib of four is split between needles.
/// @param stitches  multiple of 4 (require)
Needles cast_on_needles(int stitches);

struct GussetPickUp {
    int heel = 0;          ///< stitches left after the turn, even
    int picked_up = 0;     ///< along each side of the flap
    int instep = 0;        ///< stitches that waited
    int instep_moved = 0;  ///< of those, to either gusset needle
};
/// Needles when the gusset starts; rounds from the middle of the heel: gusset, instep, gusset.
Needles gusset_needles(const GussetPickUp& pick_up);

}  // namespace loopread
