#include "loopread/shape/sock.h"

#include <algorithm>
#include <string>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "shape/directions.h"
#include "shape/limits.h"

namespace loopread {

namespace {

constexpr double kFootShare = 0.9;  // see sock_stitches
constexpr int kUsualStitches = 64;
constexpr int kLeastStitches = 24;

// Chosen: from a newborn's foot to beyond any grown person's, and legs to the hip.
constexpr Millimetres kSmallestFoot = 8.0_cm, kLargestFoot = 40.0_cm, kLongestLeg = 100.0_cm;

/// A sock with every question answered, in stitches and rounds.
struct Plan {
    int stitches = 0;
    int cuff = 0, leg = 0, foot = 0;
    Start start = Start::cuff;
    Heel heel = Heel::flap;
    Texture leg_texture = Texture::plain;

    int half() const { return stitches / 2; }
};

std::string centimetres(Millimetres length) {
    return number_text(length.value / 10, 2) + "cm";
}

void check_length(std::string_view option, Millimetres length, Millimetres least, Millimetres most) {
    if (!(length >= least && length <= most))
        throw Error(ErrorKind::usage, std::string(option) + " " + centimetres(length) + ": no sock is made so; give " +
                                          centimetres(least) + " to " + centimetres(most));
}

void check_stitches(int stitches) {
    if (stitches >= kLeastStitches && stitches <= kMostStitches && stitches % 4 == 0) return;
    const std::string fault =
        "--stitches " + std::to_string(stitches) + ": a sock needs a multiple of 4, at least 24 and at most 10000; ";
    if (stitches < kLeastStitches) throw Error(ErrorKind::usage, fault + "the nearest is 24");
    if (stitches > kMostStitches) throw Error(ErrorKind::usage, fault + "64 is usual");
    const int below = stitches / 4 * 4;
    throw Error(ErrorKind::usage,
                fault + "the nearest are " + std::to_string(below) + " and " + std::to_string(below + 4));
}

int rounds_of(std::string_view option, const std::optional<Millimetres>& length, int rounds, const Gauge& gauge) {
    if (length) {
        check_length(option, *length, 0.0_cm, kLongestLeg);
        return rounds_over(*length, gauge);
    }
    if (rounds < 0 || rounds > kMostRounds)
        throw Error(ErrorKind::usage, std::string(option) + ": " + std::to_string(rounds) +
                                          " rounds cannot be knitted; give 0 to " + std::to_string(kMostRounds));
    return rounds;
}

/// Stitches of a full gusset: a stitch picked up for every second row of a flap that is as long as it is wide.
int gusset_start(int half) {
    return gusset_needles({.heel = heel_turn(half).stitches_after, .picked_up = half / 2, .instep = half}).total();
}

/// How many rounds' worth of the foot's length lies in the heel.
int heel_rounds_along_foot(Heel heel, int stitches) {
    const int half = stitches / 2;
    switch (heel) {
        case Heel::flap:
            return static_cast<int>(heel_turn(half).rows.size() + gusset_rounds(gusset_start(half), stitches).size());
        case Heel::short_row:
            return static_cast<int>(short_row_heel(half).size()) / 2;  // the other half is up the leg
        case Heel::afterthought:
            return static_cast<int>(toe_rounds(stitches).size());
    }
    return 0;
}

int foot_rounds(int stitches, const SockSize& size) {
    const SockCut& cut = size.cut;
    if (!cut.foot_length) return rounds_of("foot", std::nullopt, cut.foot_rounds, size.gauge);
    check_length("--foot-length", *cut.foot_length, kSmallestFoot, kLargestFoot);
    const int ends = heel_rounds_along_foot(cut.heel, stitches) + static_cast<int>(toe_rounds(stitches).size());
    const int plain = rounds_over(*cut.foot_length, size.gauge) - ends;
    if (plain < 0)
        throw Error(ErrorKind::usage, "--foot-length " + centimetres(*cut.foot_length) +
                                          ": at this gauge heel and toe of " + std::to_string(stitches) +
                                          " stitches alone take " + number_text(ends * 10 / size.gauge.rows, 1) +
                                          "cm; give a longer foot, fewer stitches or another heel");
    return plain;
}

Plan plan_of(const SockSize& size) {
    check_gauge(size.gauge);
    const SockCut& cut = size.cut;
    const int stitches = size.stitches    ? *size.stitches
                         : cut.foot_round ? sock_stitches(*cut.foot_round, size.gauge)
                                          : kUsualStitches;
    check_stitches(stitches);
    return {.stitches = stitches,
            .cuff = rounds_of("--cuff", cut.cuff_length, cut.cuff_rounds, size.gauge),
            .leg = rounds_of("--leg", cut.leg_length, cut.leg_rounds, size.gauge),
            .foot = foot_rounds(stitches, size),
            .start = cut.start,
            .heel = cut.heel,
            .leg_texture = cut.leg};
}

/// A full round whose back half ends at front_from.
Round whole_round(Section section, int stitches, int columns_from, int front_from) {
    return {.stitches = stitches,
            .section = section,
            .columns_from = columns_from,
            .columns_across = stitches,
            .front_from = front_from};
}

void add_tube(Garment& garment, Section section, int rounds, const Round& like) {
    Round round = like;
    round.section = section;
    garment.rounds.insert(garment.rounds.end(), static_cast<std::size_t>(rounds), round);
}

void add_leg(Garment& garment, const Plan& plan, int columns_from) {
    Round round = whole_round(Section::leg, plan.stitches, columns_from, plan.half());
    round.texture = plan.leg_texture;
    add_tube(garment, Section::leg, plan.leg, round);
}

void add_cuff(Garment& garment, const Plan& plan, int columns_from) {
    Round round = whole_round(Section::cuff, plan.stitches, columns_from, plan.half());
    round.texture = Texture::rib;
    add_tube(garment, Section::cuff, plan.cuff, round);
}

void add_foot(Garment& garment, const Plan& plan, int columns_from) {
    add_tube(garment, Section::foot, plan.foot, whole_round(Section::foot, plan.stitches, columns_from, plan.half()));
}

/// Rounds that close a tube from both sides of both halves: a toe, or an afterthought heel, whose back half is the
/// edge towards the sole and whose front half is the edge towards the leg.
void add_closing(Garment& garment, Section section, const Plan& plan, int columns_from) {
    for (const int stitches : toe_rounds(plan.stitches)) {
        // Decreases at the edge of the sole bring the start of the round nearer to it.
        const int from = std::max(0, columns_from - (plan.stitches - stitches) / 4);
        garment.rounds.push_back(whole_round(section, stitches, from, stitches / 2));
    }
}

/// The toe from its tip, cast on double: the same counts the other way, then the increase to the full round, which
/// going down is a round of the foot.
void add_toe_upwards(Garment& garment, const Plan& plan) {
    std::vector<int> rounds = toe_rounds(plan.stitches);
    std::reverse(rounds.begin(), rounds.end());
    rounds.push_back(plan.stitches);
    for (const int stitches : rounds) garment.rounds.push_back(whole_round(Section::toe, stitches, 0, stitches / 2));
}

void add_rows(Garment& garment, Section section, const std::vector<HeelRow>& rows, int heel_stitches) {
    for (const HeelRow& row : rows)
        garment.rounds.push_back({.stitches = row.stitches,
                                  .worked = Worked::back_and_forth,
                                  .section = section,
                                  .columns_from = row.columns_from,
                                  .columns_across = row.columns_across,
                                  .front_from = heel_stitches});
}

void add_flap(Garment& garment, const Plan& plan) {
    const int half = plan.half();
    add_rows(garment, Section::heel_flap, std::vector<HeelRow>(static_cast<std::size_t>(half), {half, 0, half}), half);
}

/// A gusset round begins with the heel, so the gusset on its right comes last.
Round gusset_round(int stitches, int heel, int half) {
    const int side = (stitches - half - heel) / 2;
    return whole_round(Section::gusset, stitches, side, stitches - half);
}

/// @return where rounds begin below the heel, in columns of the foot
int add_heel_downwards(Garment& garment, const Plan& plan) {
    const int half = plan.half();
    switch (plan.heel) {
        case Heel::afterthought:
            garment.waste_line = garment.rounds.size();
            return 0;
        case Heel::short_row:
            add_rows(garment, Section::heel, short_row_heel(half), half);
            return 0;
        case Heel::flap:
            break;
    }
    add_flap(garment, plan);
    const HeelTurn turn = heel_turn(half);
    add_rows(garment, Section::heel_turn, turn.rows, half);
    for (const int stitches : gusset_rounds(gusset_start(half), plan.stitches))
        garment.rounds.push_back(gusset_round(stitches, turn.stitches_after, half));
    return (half - turn.stitches_after) / 2;
}

/// Gusset from below: 2 stitches more every other round, at the edges of the sole. In place of the last plain round
/// one gusset is knitted, to reach the heel; the rows of the flap then take in a gusset stitch each at their end.
void add_gusset_upwards(Garment& garment, const Plan& plan) {
    const int full = gusset_start(plan.half());
    for (int stitches = plan.stitches + 2; stitches <= full; stitches += 2) {
        const Round round = whole_round(Section::gusset, stitches, 0, stitches - plan.half());
        add_tube(garment, Section::gusset, stitches < full ? 2 : 1, round);
    }
    const int side = plan.half() / 2;
    garment.rounds.push_back(whole_round(Section::gusset, side, 0, side));
}

/// @return where rounds begin above the heel, in columns of the leg
int add_heel_upwards(Garment& garment, const Plan& plan) {
    const int half = plan.half();
    switch (plan.heel) {
        case Heel::afterthought:
            garment.waste_line = garment.rounds.size();
            return 0;
        case Heel::short_row:
            add_rows(garment, Section::heel, short_row_heel(half), half);
            return 0;
        case Heel::flap:
            break;
    }
    add_gusset_upwards(garment, plan);
    add_rows(garment, Section::heel_turn, heel_turn_upwards(half).rows, half);
    add_flap(garment, plan);
    return half;  // the last flap row ends at the instep
}

void knit_downwards(Garment& garment, const Plan& plan) {
    add_cuff(garment, plan, 0);
    add_leg(garment, plan, 0);
    const int columns_from = add_heel_downwards(garment, plan);
    add_foot(garment, plan, columns_from);
    add_closing(garment, Section::toe, plan, columns_from);
}

void knit_upwards(Garment& garment, const Plan& plan) {
    add_toe_upwards(garment, plan);
    add_foot(garment, plan, 0);
    const int columns_from = add_heel_upwards(garment, plan);
    add_leg(garment, plan, columns_from);
    add_cuff(garment, plan, columns_from);
}

}  // namespace

int sock_stitches(Millimetres foot_round, const Gauge& gauge) {
    check_length("--foot-round", foot_round, kSmallestFoot, kLargestFoot);
    const int stitches = stitches_over(foot_round * kFootShare, gauge, 4);
    if (stitches < kLeastStitches)
        throw Error(ErrorKind::usage, "--foot-round " + centimetres(foot_round) + ": that is " +
                                          std::to_string(stitches) + " stitches at " + number_text(gauge.stitches, 2) +
                                          " in 10 cm, and a sock needs 24; give a larger foot or a finer gauge");
    return stitches;
}

Garment sock(const SockSize& size) {
    const Plan plan = plan_of(size);
    Garment garment{.name = "sock", .rounds = {}};
    if (plan.start == Start::cuff)
        knit_downwards(garment, plan);
    else
        knit_upwards(garment, plan);
    if (plan.heel == Heel::afterthought) add_closing(garment, Section::heel, plan, 0);
    set_directions(garment.rounds);
    return garment;
}

}  // namespace loopread
