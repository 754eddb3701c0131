#include "loopread/shares/shares.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "colour/oracle.h"
#include "fabrics.h"
#include "loopread/shape/rounds.h"
#include "shares/lag_table.h"
#include "shares/sums.h"
#include "slow_shares.h"

using namespace loopread;

namespace {

constexpr double kTenDigits = 1e-10;   // the tables have twelve digits, sums run to 1e10
constexpr double kSameSums = 1e-9;     // the fast and the slow way, on shares of 1
constexpr double kClosedForm = 1e-12;  // small whole numbers

std::vector<Lab> column(const std::string& file, const std::string& name) {
    std::vector<Lab> values;
    for (const OracleRow& row : oracle_rows(file)) values.push_back({row.number(name), 0, 0});
    return values;
}

std::vector<Lab> stripes_of_seven() {  // 1110000 repeated, 120 in all: see the header of acf_stripes7.csv
    std::vector<Lab> values;
    for (int i = 0; i < 120; ++i) values.push_back({i % 7 < 3 ? 1.0 : 0.0, 0, 0});
    return values;
}

void check_against_r(const std::vector<Lab>& values, const std::string& expected) {
    double mean = 0;
    for (const Lab& value : values) mean += value.l / static_cast<double>(values.size());
    StitchSums sums;
    sums.assign(values, {mean, 0, 0});
    std::vector<int> counts;
    for (int count = kWidestLean + 1; count < 36; ++count) counts.push_back(count);
    LagTable table;
    table.assign(sums, counts);
    int compared = 0;
    for (const OracleRow& row : oracle_rows(expected)) {
        const auto lag = static_cast<std::size_t>(row.number("lag"));
        if (lag == 0) continue;
        CAPTURE(lag);
        CHECK(std::abs(table.product(lag) / sums.squares()[values.size()] - row.number("acf")) < kTenDigits);
        ++compared;
    }
    CHECK(compared == 39);
}

void check_same(const Shares& fast, const Shares& slow) {
    CHECK(std::abs(fast.stripe - slow.stripe) < kSameSums);
    CHECK(std::abs(fast.pool - slow.pool) < kSameSums);
    CHECK(std::abs(fast.dash - slow.dash) < kSameSums);
    CHECK(std::abs(fast.speckle - slow.speckle) < kSameSums);
    CHECK(fast.lean == slow.lean);
    CHECK(std::abs(fast.colour_range - slow.colour_range) < kSameSums * 100);  // of a range up to 100
    CHECK(std::abs(fast.fade - slow.fade) < kSameSums);
    CHECK(std::abs(fast.wiggle - slow.wiggle) < kSameSums);
    CHECK(std::abs(fast.pooled_contrast - slow.pooled_contrast) < kSameSums * 100);
}

void check_adds_up(const Shares& s) {
    CHECK(std::abs(s.stripe + s.pool + s.dash + s.speckle - 1) < kClosedForm);
    for (const double share : {s.stripe, s.pool, s.dash, s.speckle, s.fade, s.wiggle}) {
        CHECK(share >= 0);
        CHECK(share <= 1);
    }
}

void check_all_zero(const Shares& s) {
    for (const double value :
         {s.stripe, s.pool, s.dash, s.speckle, s.colour_range, s.fade, s.wiggle, s.pooled_contrast})
        CHECK(value == 0);
    CHECK(s.lean == 0);
}

/// A sock in little: leg, heel, foot, all of `stitches`, a heel row of half as many.
Fabric sock_fabric(int stitches, int leg, int foot) {
    Fabric fabric;
    const auto add = [&](Section section, int count, Worked worked) {
        FabricRound round;
        round.round.stitches = count;
        round.round.section = section;
        round.round.worked = worked;
        round.first = fabric.stitches.size();
        for (int i = 0; i < count; ++i) {
            const double grey = static_cast<double>(fabric.stitches.size() % 97) / 97;
            fabric.stitches.push_back({grey, grey, grey});
        }
        round.end = fabric.stitches.size();
        fabric.rounds.push_back(round);
    };
    for (int i = 0; i < 3; ++i) add(Section::cuff, stitches, Worked::in_the_round);
    for (int i = 0; i < leg; ++i) add(Section::leg, stitches, Worked::in_the_round);
    for (int i = 0; i < 4; ++i) add(Section::heel_flap, stitches / 2, Worked::back_and_forth);
    for (int i = 0; i < foot; ++i) add(Section::foot, stitches, Worked::in_the_round);
    return fabric;
}

}  // namespace

TEST_SUITE("shares") {
    // Source: R 4.2.2, stats::acf on datasets::lynx and datasets::sunspot.year.
    TEST_CASE("lag products reproduce the autocorrelations R gives for lynx, sunspots and stripes") {
        check_against_r(column("acf_lynx_input.csv", "x"), "acf_lynx.csv");
        check_against_r(column("acf_sunspot_input.csv", "x"), "acf_sunspot.csv");
        check_against_r(stripes_of_seven(), "acf_stripes7.csv");
    }

    // Source: R 4.2.2, stats::aov on datasets::PlantGrowth, InsectSprays and chickwts (whose groups differ in size).
    TEST_CASE("variance between rounds over all variance is R's eta squared") {
        int compared = 0;
        for (const OracleRow& expected : oracle_rows("anova_expected.csv")) {
            CAPTURE(expected.text("dataset"));
            std::vector<Lab> values;
            std::vector<std::size_t> bounds;
            std::string group;
            for (const OracleRow& row : oracle_rows("anova_input.csv")) {
                if (row.text("dataset") != expected.text("dataset")) continue;
                if (row.text("group") != group) bounds.push_back(values.size());
                group = row.text("group");
                values.push_back({0, row.number("y"), 0});
            }
            bounds.push_back(values.size());
            StitchSums sums;
            sums.assign(values, {0, expected.number("grand_mean"), 0});
            RoundMeans means;
            assign_round_means(means, sums, bounds);
            CHECK(std::abs(means.squares / sums.squares()[values.size()] - expected.number("eta2")) < kTenDigits);
            ++compared;
        }
        CHECK(compared == 3);
    }

    // Knitters' arithmetic: common practice, no source.
    TEST_CASE("a repeat as long as the round stacks upright") {
        const Shares s = shares(two_colours({.stitches = 64}, 64));
        CHECK(s.pool > 0.9);
        CHECK(s.lean == 0);
        CHECK(s.stripe < 0.01);
        CHECK(s.pooled_contrast > 0.9 * s.colour_range);
        check_adds_up(s);
    }

    TEST_CASE("a repeat one stitch longer than the round leans left by one and one shorter leans right") {
        for (const int stitches : {56, 60, 64, 72}) {
            CAPTURE(stitches);
            const Shares left = shares(two_colours({.stitches = stitches}, stitches + 1));
            CHECK(left.pool > 0.9);
            CHECK(left.lean == 1);
            const Shares right = shares(two_colours({.stitches = stitches}, stitches - 1));
            CHECK(right.pool > 0.9);
            CHECK(right.lean == -1);
        }
    }

    TEST_CASE("colour runs of one round make stripes of one round") {
        const Shares s = shares(two_colours({.stitches = 64}, 128));
        CHECK(s.stripe > 0.9);
        CHECK(s.pool == 0);
        check_adds_up(s);
    }

    TEST_CASE("single stitches at random make speckle") {
        Random random(7);
        const Shares s =
            shares(fabric_of({.rounds = 150}, [&](int) { return random.uniform() < 0.5 ? kDark : kPale; }));
        CHECK(s.speckle > 0.9);
        CHECK(s.wiggle < 0.05);
        check_adds_up(s);
    }

    TEST_CASE("runs of eight stitches that never stack make dashes") {
        Random random(8);
        bool dark = false;
        const Shares s = shares(fabric_of({.rounds = 150}, [&](int k) {
            if (k % 8 == 0) dark = random.uniform() < 0.5;
            return dark ? kDark : kPale;
        }));
        // A round is 8 independent runs, so its mean keeps 1/8 of the variance. Of the 64 pairs 4 stitches apart that
        // begin in a round, 32 lie in one run and 4 reach into the next round: (32 - 60 / 8) / (64 x 7 / 8) = 0.4375.
        constexpr double kThousandRuns = 0.03;  // the scatter of a share over 1200 runs
        CHECK(std::abs(s.stripe - 0.125) < kThousandRuns);
        CHECK(std::abs(s.dash / (1 - s.stripe - s.pool) - 0.4375) < kThousandRuns);
        CHECK(s.pool < 2 * kThousandRuns);  // the best of nine
        check_adds_up(s);
    }

    TEST_CASE("back and forth the stitch above counts and not the one a round later") {
        const FabricSize flat{.stitches = 40, .rounds = 80, .worked = Worked::back_and_forth};
        const auto by_column = [&](int step) {  // a column of colour that moves left by `step` every row
            return [=](int k) {
                const int row = k / 40;
                const int along = k % 40;
                const int column = row % 2 == 0 ? along : 39 - along;
                return (column - step * row + 4000) % 40 < 9 ? kDark : kPale;
            };
        };
        const Shares upright = shares(fabric_of(flat, by_column(0)));
        CHECK(upright.pool > 0.9);
        CHECK(upright.lean == 0);
        for (const int step : {1, 2, -1, -2}) {
            CAPTURE(step);
            const Shares leaning = shares(fabric_of(flat, by_column(step)));
            CHECK(leaning.pool > 0.9);
            CHECK(leaning.lean == step);
        }
        PlainRounds tube = fabric_of(flat, by_column(0));
        tube.worked = Worked::in_the_round;
        CHECK(shares(tube).pool < 0.1);
    }

    TEST_CASE("columns that wander count as wiggle though no one lean holds") {
        Random random(5);
        std::vector<int> offset{0};
        for (int r = 1; r < 150; ++r) offset.push_back(offset.back() + static_cast<int>(random.bits() % 9) - 4);
        const Shares s = shares(fabric_of({.rounds = 150}, [&](int k) {
            return (k % 64 - offset[static_cast<std::size_t>(k / 64)] + 64000) % 64 < 8 ? kDark : kPale;
        }));
        CHECK(s.wiggle > 0.5);
        CHECK(s.wiggle > s.pool);
    }

    TEST_CASE("a slow change of colour is all fade and stripes are none") {
        const Shares gradient = shares(fabric_of({.rounds = 200}, [](int k) { return Lab{20 + k * 0.004, 0, 0}; }));
        CHECK(gradient.stripe > 0.99);
        CHECK(gradient.fade > 0.9 * gradient.stripe);
        const Shares stripes = shares(two_colours({.rounds = 210}, 14 * 64));
        CHECK(stripes.stripe > 0.99);
        CHECK(stripes.fade < 0.05);
    }

    TEST_CASE("the fast way agrees with the plain slow one") {
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
            for (const int stitches : {16, 17, 61, 64, 150}) {
                for (const int rounds : {3, 4, 40}) {
                    CAPTURE(stitches);
                    CAPTURE(rounds);
                    const PlainRounds plain = motley({.stitches = stitches, .rounds = rounds, .worked = worked},
                                                     static_cast<std::uint64_t>(stitches * 100 + rounds));
                    check_same(shares(plain), slow_shares(plain));
                    check_adds_up(shares(plain));
                }
            }
        }
    }

    TEST_CASE("the fast way agrees with the slow one on the patterns knitters know") {
        for (const int repeat : {2, 30, 64, 65, 77, 128, 100, 900}) {
            CAPTURE(repeat);
            const PlainRounds plain = two_colours({.rounds = 50}, repeat);
            check_same(shares(plain), slow_shares(plain));
        }
    }

    TEST_CASE("the fast way agrees with the slow one where a leg and a foot are no neighbours") {
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
            PlainRounds plain = motley({.stitches = 48, .rounds = 60, .worked = worked}, 3);
            plain.stretch_starts = {0, 48 * 25, 48 * 26};
            check_same(shares(plain), slow_shares(plain));
            PlainRounds whole = plain;
            whole.stretch_starts = {0};
            CHECK(shares(whole).pool != shares(plain).pool);
        }
    }

    TEST_CASE("a fabric of one colour has no shares at all and no part of it is not a number") {
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth})
            check_all_zero(
                shares(fabric_of({.stitches = 61, .rounds = 33, .worked = worked}, [](int) { return kDark; })));
    }

    TEST_CASE("two rounds or fifteen stitches give no shares and say why") {
        for (const FabricSize& size :
             {FabricSize{.stitches = 64, .rounds = 2}, FabricSize{.stitches = 15, .rounds = 50}}) {
            const Shares s = shares(two_colours(size, 20));
            CHECK_FALSE(s.why_none.empty());
            CHECK(s.stripe + s.pool + s.dash + s.speckle == 0);
            CHECK(s.colour_range > 10);
        }
        CHECK_FALSE(shares(PlainRounds{}).why_none.empty());
        CHECK(shares(two_colours({.stitches = 16, .rounds = 3}, 20)).why_none.empty());
    }

    TEST_CASE("rounds that are not whole are a broken contract") {
        PlainRounds plain = two_colours({.rounds = 4}, 64);
        plain.stitch.pop_back();
        CHECK_THROWS_AS(shares(plain), std::logic_error);
        PlainRounds shifted = two_colours({.rounds = 4}, 64);
        shifted.stretch_starts = {0, 65};
        CHECK_THROWS_AS(shares(shifted), std::logic_error);
    }

    TEST_CASE("of a sock the leg and the foot count and the last round only if it is whole") {
        Fabric sock = sock_fabric(64, 10, 12);
        const PlainRounds plain = plain_rounds(sock);
        CHECK(plain.stitches == 64);
        CHECK(plain.worked == Worked::in_the_round);
        CHECK(plain.rounds() == 22);
        CHECK(plain.stretch_starts == std::vector<std::size_t>{0, 640});
        CHECK(plain.stitch[0] == lab_from_linear(sock.stitches[3 * 64]));
        CHECK(plain.stitch[640] == lab_from_linear(sock.stitches[13 * 64 + 4 * 32]));
        sock.stitches.pop_back();
        --sock.rounds.back().end;
        CHECK(plain_rounds(sock).rounds() == 21);
    }

    TEST_CASE("one wide round does not stand for a garment and no plain round means none") {
        Fabric sock = sock_fabric(64, 10, 12);
        sock.rounds[3].round.section = Section::foot;
        sock.rounds[3].round.stitches = 32;
        sock.rounds[3].end = sock.rounds[3].first + 32;
        CHECK(plain_rounds(sock).stitches == 64);
        sock.rounds[4].round.stitches = 128;
        sock.rounds[4].end = sock.rounds[4].first + 128;
        CHECK(plain_rounds(sock).stitches == 64);
        for (FabricRound& round : sock.rounds) round.round.section = Section::growing;
        CHECK(plain_rounds(sock).stitches == 0);
        CHECK_FALSE(shares(plain_rounds(sock)).why_none.empty());
    }

    TEST_CASE("rows that begin on the way back lose the first one so that leans keep their side") {
        Fabric fabric = sock_fabric(20, 8, 0);
        for (std::size_t r = 0; r < fabric.rounds.size(); ++r) {
            fabric.rounds[r].round.worked = Worked::back_and_forth;
            fabric.rounds[r].round.runs = r % 2 == 0 ? Runs::on : Runs::back;
        }
        const PlainRounds plain = plain_rounds(fabric);  // the leg begins with row 3, which runs back
        CHECK(plain.worked == Worked::back_and_forth);
        CHECK(plain.rounds() == 7);
        CHECK(plain.stitch[0] == lab_from_linear(fabric.stitches[4 * 20]));
    }
}
