#include "loopread/shape/sock.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <string>

#include "loopread/base/error.h"

namespace loopread {
namespace {

using Counts = std::vector<int>;

Counts stitches_of(const std::vector<HeelRow>& rows) {
    Counts counts;
    for (const HeelRow& row : rows) counts.push_back(row.stitches);
    return counts;
}

int sum(const Counts& counts) {
    return std::accumulate(counts.begin(), counts.end(), 0);
}

Garment sock_of(int stitches, Start start = Start::cuff, Heel heel = Heel::flap) {
    return sock({.stitches = stitches, .cut = {.start = start, .heel = heel}});
}

Counts counts_in(const Garment& garment, Section section) {
    Counts counts;
    for (const Round& round : garment.rounds)
        if (round.section == section) counts.push_back(round.stitches);
    return counts;
}

std::vector<Section> sections_in_order(const Garment& garment) {
    std::vector<Section> order;
    for (const Round& round : garment.rounds)
        if (order.empty() || order.back() != round.section) order.push_back(round.section);
    return order;
}

std::string fault_of(const SockSize& size) {
    try {
        sock(size);
    } catch (const Error& error) {
        CHECK(error.kind() == ErrorKind::usage);
        return error.what();
    }
    return {};
}

bool names(const std::string& fault, const std::string& word) {
    return fault.find(word) != std::string::npos;
}

// The yarn lies where a row ended: the next row has to begin there.
void check_rows_join(const std::vector<HeelRow>& rows) {
    for (std::size_t row = 1; row < rows.size(); ++row) {
        CAPTURE(row);
        const HeelRow& last = rows[row - 1];
        const HeelRow& next = rows[row];
        if (row % 2 == 1)
            CHECK(last.columns_from + last.columns_across == next.columns_from + next.columns_across);
        else
            CHECK(last.columns_from == next.columns_from);
    }
}

}  // namespace

TEST_SUITE("shape") {
    // Knitty (magazine), winter 2007, PATTslippery: "K18, ssk, k1 / Sl 1, p5, p2tog, p1 / Sl 1, k6, ssk, k1" and so on
    // to "Sl 1, k16, ssk / Sl 1, p16, p2tog. 18 sts". A decrease makes one stitch.
    TEST_CASE("a published turn of 32 heel stitches comes out row for row") {
        const HeelTurn turn = heel_turn(32);
        CHECK(stitches_of(turn.rows) == Counts{20, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 18, 18});
        CHECK(turn.stitches_after == 18);
    }

    // Red Cross sock directions of the First World War (reprint, undated): of 28, "Knit 1 more than half of Heel
    // stitches. Knit 2 together, knit 1 more and turn. Purl 4 stitches, purl 2 together, purl 1 more and turn."
    TEST_CASE("the Red Cross turn begins one stitch past the middle") {
        const HeelTurn turn = heel_turn(28, 1);
        CHECK(turn.rows[0].stitches == 17);
        CHECK(turn.rows[1].stitches == 6);
        CHECK(turn.rows[2].stitches == 7);
    }

    // Knitty (magazine), fall 2006, PATTsoxon2stix: 21 stitches, "K20, w&t. P19, w&t." down to "P7, w&t", then
    // "K8, w&t. P9, w&t." up to "K20, w&t. P21."
    TEST_CASE("a published short-row heel of 21 stitches comes out row for row") {
        CHECK(stitches_of(short_row_heel(21)) == Counts{20, 19, 18, 17, 16, 15, 14, 13, 12, 11, 10, 9,  8,  7,
                                                        8,  9,  10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21});
    }

    // Red Cross directions, as above: 64 stitches on 20-24-20, for loose knitters 60 on 20-20-20.
    TEST_CASE("a cast-on is shared out as the Red Cross directions share it") {
        CHECK(cast_on_needles(64) == Needles{20, 24, 20});
        CHECK(cast_on_needles(60) == Needles{20, 20, 20});
    }

    // National War Service Committee, Toronto, "Knitting Instructions for Field Comforts", 1939: 60 stitches, heel 28,
    // 32 wait; "pick up and knit 13" along each side, 2 of the instep knitted with either side, "knit 8 from first
    // needle on to 3rd needle (23-28-23)"; decrease every second round to 56 (14-28-14).
    TEST_CASE("the gusset of the 1939 directions comes out needle for needle") {
        const int heel = heel_turn(28).stitches_after;
        CHECK(heel == 2 * 8);
        const Needles full = gusset_needles({.heel = heel, .picked_up = 13, .instep = 32, .instep_moved = 2});
        CHECK(full == Needles{23, 28, 23});
        CHECK(full.total() == 74);
        const Counts rounds = gusset_rounds(full.total(), 56);
        CHECK(rounds.front() == 74);
        CHECK(rounds.back() == 56);
        CHECK(std::count(rounds.begin(), rounds.end(), 70) == 2);
        const int taken_each_side = (full.total() - rounds.back()) / 2;
        CHECK(Needles{full.first - taken_each_side, full.second, full.third - taken_each_side} == Needles{14, 28, 14});
    }

    // Common practice, no source: a flap-and-gusset sock with a cuff of 16, a leg of 60 and a foot of 50 rounds.
    TEST_CASE("usual socks have their usual counts") {
        struct Row {
            int stitches, after_turn, gusset_start, gusset_rounds, toe_rounds;
            long long total;
        };
        constexpr std::array kRows = {Row{56, 16, 72, 16, 17, 9'642}, Row{60, 18, 78, 18, 19, 10'596},
                                      Row{64, 18, 82, 18, 20, 11'425}, Row{72, 20, 92, 20, 23, 13'308}};
        for (const Row& row : kRows) {
            CAPTURE(row.stitches);
            const Garment made = sock_of(row.stitches);
            CHECK(heel_turn(row.stitches / 2).stitches_after == row.after_turn);
            CHECK(counts_in(made, Section::heel_turn).back() == row.after_turn);
            CHECK(counts_in(made, Section::gusset).front() == row.gusset_start);
            CHECK(counts_in(made, Section::gusset).back() == row.stitches);
            CHECK(rounds_in(made, Section::gusset) == row.gusset_rounds);
            CHECK(rounds_in(made, Section::toe) == row.toe_rounds);
            CHECK(counts_in(made, Section::toe).back() == 16);
            CHECK(total_stitches(made) == row.total);
        }
    }

    TEST_CASE("a sock of 64 stitches adds up section by section") {
        const Garment made = sock({});
        CHECK(stitches_in(made, Section::cuff) == 1'024);
        CHECK(stitches_in(made, Section::leg) == 3'840);
        CHECK(stitches_in(made, Section::heel_flap) == 1'024);
        CHECK(stitches_in(made, Section::heel_turn) == 199);
        CHECK(stitches_in(made, Section::gusset) == 1'314);
        CHECK(stitches_in(made, Section::foot) == 3'200);
        CHECK(stitches_in(made, Section::toe) == 824);
        CHECK(total_stitches(made) == 1'024 + 3'840 + 1'024 + 199 + 1'314 + 3'200 + 824);
    }

    // The tenth of negative ease: How to Knit Socks (2015), ch. 3; the table follows from it.
    TEST_CASE("stitches follow from the foot and the gauge") {
        constexpr std::array kGauges = {28, 30, 32, 34, 36};
        struct Row {
            double foot_cm;
            std::array<int, 5> stitches;
        };
        constexpr std::array kRows = {
            Row{18, {44, 48, 52, 56, 60}}, Row{20, {52, 56, 56, 60, 64}},  // 30 x 20 gives 54, halfway: the larger
            Row{22, {56, 60, 64, 68, 72}}, Row{24, {60, 64, 68, 72, 76}}, Row{26, {64, 72, 76, 80, 84}}};
        for (const Row& row : kRows)
            for (std::size_t column = 0; column < kGauges.size(); ++column) {
                CAPTURE(row.foot_cm);
                CAPTURE(kGauges[column]);
                const Gauge gauge{.stitches = static_cast<double>(kGauges[column])};
                CHECK(sock_stitches(Millimetres{row.foot_cm * 10}, gauge) == row.stitches[column]);
            }
    }

    TEST_CASE("every heel row begins where the last one ended") {
        for (int heel = 12; heel <= 60; heel += 2) {
            CAPTURE(heel);
            check_rows_join(heel_turn(heel).rows);
            check_rows_join(heel_turn_upwards(heel).rows);
            check_rows_join(short_row_heel(heel));
        }
    }

    TEST_CASE("a turn works every stitch of the heel and decreases once a row") {
        for (int heel = 12; heel <= 60; heel += 2) {
            CAPTURE(heel);
            const HeelTurn turn = heel_turn(heel);
            const HeelRow& last = turn.rows.back();
            CHECK(last.columns_from == 0);
            CHECK(last.columns_across == heel);
            CHECK(last.stitches == turn.stitches_after);
            CHECK(heel - static_cast<int>(turn.rows.size()) == turn.stitches_after);
            CHECK(turn.rows.size() % 2 == 0);  // so that the gusset can be picked up from the right edge on
        }
    }

    TEST_CASE("a turn from below grows to the flap that a turn from above began with") {
        for (int heel = 12; heel <= 60; heel += 2) {
            CAPTURE(heel);
            const HeelTurn up = heel_turn_upwards(heel);
            const int before = heel_turn(heel).stitches_after;
            const int increasing_rows = static_cast<int>(up.rows.size()) - 1;
            CHECK(before + increasing_rows == heel);
            CHECK(up.rows.front().stitches == before);  // all but one worked, one of them twice
            CHECK(up.rows.back().columns_from + up.rows.back().columns_across == heel);
            const HeelRow& shortest = up.rows[up.rows.size() - 2];
            CHECK(shortest.stitches == shortest.columns_across);  // nothing is increased beyond it
            CHECK(shortest.stitches >= 6);
        }
    }

    TEST_CASE("a short-row heel leaves a third in the middle and ends on all its stitches") {
        for (int stitches = 24; stitches <= 120; stitches += 4) {
            CAPTURE(stitches);
            const int heel = stitches / 2;
            const std::vector<HeelRow> rows = short_row_heel(heel);
            const HeelRow& shortest = rows[rows.size() / 2 - 1];
            CHECK(std::abs(6 * shortest.stitches - stitches) <= 6);
            CHECK(shortest.columns_from == heel - shortest.columns_from - shortest.columns_across);
            CHECK(rows.back() == HeelRow{heel, 0, heel});
            for (std::size_t row = 1; row < rows.size(); ++row)
                CHECK(rows[row].stitches - rows[row - 1].stitches == (row < rows.size() / 2 ? -1 : 1));
        }
    }

    TEST_CASE("sections follow each other in the order they are knitted") {
        using enum Section;
        CHECK(sections_in_order(sock_of(64)) == std::vector{cuff, leg, heel_flap, heel_turn, gusset, foot, toe});
        CHECK(sections_in_order(sock_of(64, Start::toe)) ==
              std::vector{toe, foot, gusset, heel_turn, heel_flap, leg, cuff});
        CHECK(sections_in_order(sock_of(64, Start::toe, Heel::short_row)) == std::vector{toe, foot, heel, leg, cuff});
        CHECK(sections_in_order(sock_of(64, Start::cuff, Heel::afterthought)) ==
              std::vector{cuff, leg, foot, toe, heel});
        CHECK(sections_in_order(sock_of(64, Start::toe, Heel::afterthought)) ==
              std::vector{toe, foot, leg, cuff, heel});
    }

    TEST_CASE("the plain rounds are the same from either end") {
        for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought}) {
            const SockSize down{.stitches = 68, .cut = {.heel = heel, .foot_length = 24.0_cm, .leg_length = 15.0_cm}};
            SockSize up = down;
            up.cut.start = Start::toe;
            for (const Section section : {Section::cuff, Section::leg, Section::foot})
                CHECK(counts_in(sock(down), section) == counts_in(sock(up), section));
        }
    }

    TEST_CASE("a toe from its tip grows by 4 every round, then every second, to the full round") {
        const Counts toe = counts_in(sock_of(64, Start::toe), Section::toe);
        CHECK(toe == Counts{16, 20, 24, 28, 32, 32, 36, 36, 40, 40, 44, 44, 48, 48, 52, 52, 56, 56, 60, 60, 64});
    }

    TEST_CASE("a sock from the toe up grows a gusset that its flap takes in again") {
        for (int stitches = 24; stitches <= 120; stitches += 4) {
            CAPTURE(stitches);
            const Garment made = sock_of(stitches, Start::toe);
            const Counts gusset = counts_in(made, Section::gusset);
            const int full = gusset[gusset.size() - 2];
            const int partial = gusset.back();
            CHECK(full == counts_in(sock_of(stitches), Section::gusset).front());
            CHECK(gusset.front() == stitches + 2);
            CHECK(std::count(gusset.begin(), gusset.end(), full) ==
                  1);  // the heel is knitted in the plain round's place
            CHECK(static_cast<int>(gusset.size()) == full - stitches);
            // Sole side of the full round: gusset, heel, gusset.
            CHECK(2 * partial + heel_turn(stitches / 2).stitches_after == full - stitches / 2);
            // One gusset stitch joins at the end of each flap row, on either side in turn.
            CHECK(rounds_in(made, Section::heel_flap) == 2 * partial);
            CHECK(rounds_in(made, Section::heel_turn) % 2 == 1);  // so the last flap row ends at the instep
        }
    }

    TEST_CASE("an afterthought heel is a toe on the stitches around its slit") {
        const Garment made = sock_of(72, Start::cuff, Heel::afterthought);
        CHECK(counts_in(made, Section::heel) == toe_rounds(72));
        CHECK(sum(toe_rounds(72)) == 1'056);
        REQUIRE(made.waste_line.has_value());
        CHECK(made.rounds[*made.waste_line - 1].section == Section::leg);
        CHECK(made.rounds[*made.waste_line].section == Section::foot);
        CHECK_FALSE(sock_of(72).waste_line.has_value());
    }

    TEST_CASE("the foot's length holds heel, gusset, foot and toe") {
        const Gauge gauge{.stitches = 32, .rows = 42};
        const auto foot_of = [&](Heel heel) {
            return rounds_in(sock({.stitches = 64, .gauge = gauge, .cut = {.heel = heel, .foot_length = 24.0_cm}}),
                             Section::foot);
        };
        constexpr int kRounds = 101;  // 24 cm at 42 rows in 10 cm is 100.8
        constexpr int kToe = 20;
        CHECK(foot_of(Heel::flap) == kRounds - kToe - 14 - 18);
        CHECK(foot_of(Heel::short_row) == kRounds - kToe - 22);
        CHECK(foot_of(Heel::afterthought) == kRounds - kToe - 20);
    }

    TEST_CASE("leg and cuff lengths turn into rounds, and a ribbed leg is marked") {
        const Garment made =
            sock({.gauge = {.stitches = 32, .rows = 40},
                  .cut = {.leg = Texture::rib, .foot_round = 24.0_cm, .leg_length = 15.0_cm, .cuff_length = 2.0_cm}});
        CHECK(made.rounds.front().stitches == 68);
        CHECK(rounds_in(made, Section::leg) == 60);
        CHECK(rounds_in(made, Section::cuff) == 8);
        for (const Round& round : made.rounds)
            CHECK((round.texture == Texture::rib) == (round.section == Section::leg || round.section == Section::cuff));
    }

    TEST_CASE("every stitch sits in its own half and no two share a place") {
        for (const Start start : {Start::cuff, Start::toe})
            for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought})
                for (const Round& round : sock_of(64, start, heel).rounds) {
                    CAPTURE(section_name(round.section));
                    std::vector<double> columns;
                    int back = 0;
                    for (int stitch = 0; stitch < round.stitches; ++stitch) {
                        columns.push_back(column_of(round, stitch));
                        back += half_of(round, stitch) == Half::back;
                    }
                    std::sort(columns.begin(), columns.end());
                    CHECK(columns.front() >= 0);
                    CHECK(std::adjacent_find(columns.begin(), columns.end()) == columns.end());
                    if (round.section == Section::gusset)
                        CHECK(back == round.stitches - (round.front_from == round.stitches ? 0 : 32));
                    else if (round.worked == Worked::back_and_forth)
                        CHECK(back == round.stitches);
                    else
                        CHECK(2 * back == round.stitches);
                }
    }

    TEST_CASE("gusset and foot begin with the same stitch of the sole") {
        const Garment made = sock_of(64);
        const auto foot = std::find_if(made.rounds.begin(), made.rounds.end(),
                                       [](const Round& round) { return round.section == Section::foot; });
        CHECK(foot->columns_from == (32 - 18) / 2);
        CHECK((foot - 1)->columns_from == foot->columns_from);
        CHECK((foot - 18)->columns_from == 16);  // a full gusset to the right of the heel
    }

    TEST_CASE("the start of the round moves to the edge of the sole as the toe narrows") {
        const Garment made = sock_of(64);
        std::vector<int> starts;
        for (const Round& round : made.rounds)
            if (round.section == Section::toe) starts.push_back(round.columns_from);
        CHECK(starts == Counts{6, 6, 5, 5, 4, 4, 3, 3, 2, 2, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0});
    }

    TEST_CASE("above a flap from the toe up rounds begin with the instep, where its last row ends") {
        const Garment made = sock_of(64, Start::toe);
        const auto leg = std::find_if(made.rounds.begin(), made.rounds.end(),
                                      [](const Round& round) { return round.section == Section::leg; });
        CHECK((leg - 1)->runs == Runs::on);
        CHECK(leg->columns_from == 32);
        CHECK(half_of(*leg, 0) == Half::front);
        CHECK(half_of(*leg, 32) == Half::back);
    }

    TEST_CASE("a sock that cannot be knitted says why and what could be") {
        CHECK(names(fault_of({.stitches = 66}), "64 and 68"));
        CHECK(names(fault_of({.stitches = 20}), "nearest is 24"));
        CHECK(names(fault_of({.stitches = -4}), "nearest is 24"));
        CHECK(names(fault_of({.stitches = 1'000'000}), "at most"));
        CHECK(names(fault_of({.gauge = {.stitches = 0}}), "--gauge 0x42"));
        CHECK(names(fault_of({.gauge = {.rows = -1}}), "--gauge"));
        for (const Millimetres foot : {Millimetres{0}, 90.0_cm, Millimetres{-1}}) {
            CHECK(names(fault_of({.cut = {.foot_round = foot}}), "--foot-round"));
            CHECK(names(fault_of({.cut = {.foot_length = foot}}), "--foot-length"));
        }
        CHECK(names(fault_of({.cut = {.foot_length = 12.0_cm}}), "heel and toe of 64 stitches"));
        CHECK(names(fault_of({.gauge = {.stitches = 20}, .cut = {.foot_round = 8.0_cm}}), "a sock needs 24"));
        CHECK(names(fault_of({.cut = {.leg_length = 200.0_cm}}), "--leg"));
        CHECK(names(fault_of({.cut = {.leg_rounds = -1}}), "--leg"));
        CHECK(fault_of({.stitches = 24}).empty());
    }
}

}  // namespace loopread
