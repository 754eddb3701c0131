#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <stdexcept>

#include "fabrics.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/knitters.h"

using namespace loopread;

namespace {

constexpr double kYarnMm = 12.73;   // of a stitch: no whole millimetres, so that starts fall between grid places
constexpr double kSameSums = 1e-9;  // one way to sum and another, on shares of 1

SweepPlan plan_of(std::vector<int> stitches, Worked worked = Worked::in_the_round) {
    return {.stitches = std::move(stitches), .yarn_per_stitch_mm = kYarnMm, .worked = worked};
}

/// Blobs, columns and flecks; both ends together are longer than either alone needs.
ColourRun motley_end(int rounds, std::uint64_t seed) {
    return yarn_of(motley({.stitches = 64, .rounds = rounds}, seed), 0.83 * kYarnMm);
}

std::vector<SweepPoint> swept_ends(const TwoEnds& ends, const SweepPlan& plan, const RiskOptions& options) {
    const double longest = std::max(ends.first.length_mm(), ends.second.length_mm());
    return KnitterSweep({longest}, plan, options).swept(ends);
}

/// Rounds of whole turns: the first end begins, so it may have one turn more.
int rounds_of_whole_turns(const TwoEnds& ends, int stitches) {
    const double turn_mm = stitches * ends.every * kYarnMm;
    const int of_first = static_cast<int>(ends.first.length_mm() / turn_mm + 1e-9);
    const int of_second = static_cast<int>(ends.second.length_mm() / turn_mm + 1e-9);
    return ends.every * (of_first <= of_second ? 2 * of_first : 2 * of_second + 1);
}

void check_close(const Shares& a, const Shares& b) {
    CHECK(std::abs(a.stripe - b.stripe) < kSameSums);
    CHECK(std::abs(a.pool - b.pool) < kSameSums);
    CHECK(std::abs(a.dash - b.dash) < kSameSums);
    CHECK(std::abs(a.speckle - b.speckle) < kSameSums);
    CHECK(a.lean == b.lean);
    CHECK(std::abs(a.fade - b.fade) < kSameSums);
    CHECK(std::abs(a.wiggle - b.wiggle) < kSameSums);
    CHECK(std::abs(a.colour_range - b.colour_range) < kSameSums * 100);  // of a range up to 100
}

/// A yarn that pools at 64 stitches: half a round dark, half a round pale, from `from` stitches on.
ColourRun pooling_yarn(int from, int rounds) {
    return yarn_of(
        fabric_of({.stitches = 64, .rounds = rounds}, [&](int k) { return (k + from) % 64 < 32 ? kDark : kPale; }),
        kYarnMm);
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("two ends of the same one colour have no shares at all, whatever the turns") {
        const ColourRun plain = yarn_of(fabric_of({.rounds = 30}, [](int) { return kPale; }), kYarnMm);
        for (const int every : {1, 2, 5})
            for (const SweepPoint& point : swept_ends({plain, plain, every}, plan_of({40, 64}), {.knitters = 8})) {
                CAPTURE(every);
                CAPTURE(point.stitches);
                CHECK(point.shares.why_none.empty());
                CHECK(point.shares.stripe == 0);
                CHECK(point.shares.pool == 0);
                CHECK(point.shares.dash == 0);
                CHECK(point.shares.speckle == 0);
                CHECK(point.shares.colour_range == 0);
                CHECK(point.pool_risk == 0);
            }
    }

    TEST_CASE("two ends of one colour each are nothing but stripes") {
        const ColourRun dark = yarn_of(fabric_of({.rounds = 30}, [](int) { return kDark; }), kYarnMm);
        const ColourRun pale = yarn_of(fabric_of({.rounds = 30}, [](int) { return kPale; }), kYarnMm);
        const SweepPoint point = swept_ends({dark, pale, 2}, plan_of({64}), {.knitters = 8}).front();
        CHECK(point.shares.stripe == doctest::Approx(1));
        CHECK(point.pool_risk == 0);
    }

    TEST_CASE("as planned, ends by turns have the shares of the one yarn that the tube takes up") {
        const std::array<std::array<int, 2>, 3> lengths{{{60, 60}, {70, 45}, {38, 66}}};  // rounds of 64 or so
        for (const auto& [first, second] : lengths)
            for (const int every : {1, 2, 3})
                for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
                    const TwoEnds ends{motley_end(first, 1), motley_end(second, 2), every};
                    const SweepPlan plan = plan_of({64, 40, 77}, worked);
                    const std::vector<SweepPoint> points = swept_ends(ends, plan, {.knitters = 0});
                    REQUIRE(points.size() == 3);
                    for (const SweepPoint& point : points) {
                        const auto& this_first = first;  // clang 14 lets no binding into a lambda
                        CAPTURE(this_first);
                        CAPTURE(every);
                        CAPTURE(point.stitches);
                        const int rounds = rounds_of_whole_turns(ends, point.stitches);
                        const Garment garment = worked == Worked::in_the_round ? tube(point.stitches, rounds)
                                                                               : flat(point.stitches, rounds);
                        const ColourRun run = alternated(ends, garment, {kYarnMm});
                        REQUIRE(std::abs(run.length_mm() - rounds * point.stitches * kYarnMm) < 1e-6);
                        check_close(point.shares,
                                    swept(run, plan_of({point.stitches}, worked), {.knitters = 0}).front().shares);
                        CHECK(point.yarn_per_round_mm == doctest::Approx(point.stitches * kYarnMm));
                    }
                }
    }

    TEST_CASE("knitters without scatter agree with those who knit the one yarn that the tube takes up") {
        const RiskOptions exact{.knitters = 3, .length_sd = 0, .drift_sd = 0};
        for (const int from : {0, 16, 32}) {
            CAPTURE(from);
            const TwoEnds ends{pooling_yarn(0, 40), pooling_yarn(from, 40), 2};
            const ColourRun run = alternated(ends, tube(64, 80), {kYarnMm});
            CHECK(swept_ends(ends, plan_of({64}), exact).front().pool_risk ==
                  swept(run, plan_of({64}), exact).front().pool_risk);
        }
    }

    TEST_CASE("risk counts knitters, and the same ones with 1 thread and with 4") {
        const TwoEnds ends{pooling_yarn(0, 50), pooling_yarn(8, 44), 2};
        const SweepPlan plan = plan_of({40, 50, 61, 64, 65, 77});
        const RiskOptions options{.knitters = 24};
        RiskOptions one = options, four = options;
        one.threads = 1;
        four.threads = 4;
        const auto by_one = swept_ends(ends, plan, one), by_four = swept_ends(ends, plan, four);
        double some = 0;
        for (std::size_t i = 0; i < by_one.size(); ++i) {
            CAPTURE(by_one[i].stitches);
            CHECK(by_one[i].pool_risk >= 0);
            CHECK(by_one[i].pool_risk <= 1);
            CHECK(by_one[i].pool_risk * 24 == doctest::Approx(std::round(by_one[i].pool_risk * 24)));
            CHECK(by_one[i].pool_risk == by_four[i].pool_risk);
            CHECK(by_one[i].shares.pool == by_four[i].shares.pool);
            CHECK(by_one[i].shares.wiggle == by_four[i].shares.wiggle);
            some += by_one[i].pool_risk;
        }
        CHECK(some > 0);
        CHECK(some < 6);
    }

    // Half a repeat along is the usual advice for two balls of one blank (common practice, no source).
    TEST_CASE("a yarn that pools at 64 stitches pools less when the second end is half a repeat off") {
        for (const int every : {1, 2}) {
            CAPTURE(every);
            const TwoEnds in_step{pooling_yarn(0, 60), pooling_yarn(0, 60), every};
            const TwoEnds half_off{pooling_yarn(0, 60), pooling_yarn(32, 60), every};
            const SweepPoint pooling = swept_ends(in_step, plan_of({64}), {.knitters = 40}).front();
            const SweepPoint broken = swept_ends(half_off, plan_of({64}), {.knitters = 40}).front();
            CHECK(pooling.shares.pool > 0.9);
            CHECK(broken.shares.pool < 0.1);
            CHECK(broken.pool_risk < pooling.pool_risk);
        }
    }

    TEST_CASE("two ends in step pool as the one yarn does") {
        const TwoEnds in_step{pooling_yarn(0, 60), pooling_yarn(0, 60), 2};
        const SweepPoint by_turns = swept_ends(in_step, plan_of({64}), {.knitters = 0}).front();
        const SweepPoint alone = swept(pooling_yarn(0, 120), plan_of({64}), {.knitters = 0}).front();
        check_close(by_turns.shares, alone.shares);
    }

    TEST_CASE("ends too short for three rounds, or not there, have no shares and no risk") {
        const ColourRun end = motley_end(40, 5);
        const ColourRun stub = part_of(end, 0, 100 * kYarnMm);
        for (const TwoEnds& ends : {TwoEnds{stub, end, 2}, TwoEnds{stub, stub, 2}, TwoEnds{ColourRun(), end, 2},
                                    TwoEnds{end, ColourRun(), 2}}) {
            const SweepPoint point = swept_ends(ends, plan_of({64}), {.knitters = 4}).front();
            CHECK_FALSE(point.shares.why_none.empty());
            CHECK(point.pool_risk == 0);
        }
        CHECK_FALSE(swept_ends({end, end, 2}, plan_of({12}), {.knitters = 4}).front().shares.why_none.empty());
    }

    TEST_CASE("a plan without stitch counts, or no knitters, is answered with as little") {
        const ColourRun end = motley_end(20, 6);
        CHECK(swept_ends({end, end, 2}, plan_of({}), {.knitters = 4}).empty());
        CHECK(swept_ends({end, end, 2}, plan_of({64}), {.knitters = 0}).front().pool_risk == 0);
    }

    TEST_CASE("turns without rounds, and ends longer than the knitters were given, are a broken contract") {
        const ColourRun end = motley_end(10, 7);
        const KnitterSweep sweep({end.length_mm()}, plan_of({64}), {.knitters = 2});
        CHECK_THROWS_AS(sweep.swept(TwoEnds{end, end, 0}), std::logic_error);
        CHECK_THROWS_AS(sweep.swept(TwoEnds{end, motley_end(11, 7), 2}), std::logic_error);
        CHECK_THROWS_AS(sweep.swept(motley_end(11, 7)), std::logic_error);
    }
}
