#include "loopread/shares/knitters.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "fabrics.h"
#include "loopread/fabric/fabric.h"
#include "shares/chance.h"
#include "shares/windows.h"
#include "slow_shares.h"

using namespace loopread;

namespace {

constexpr double kYarnMm = 12.73;   // of a stitch: no whole millimetres, so that starts fall between grid places
constexpr double kSameSums = 1e-9;  // one way to sum and another, on shares of 1

/// A strand of a blank: rows of upright bars that run forth and back, with flecks, in pieces of a quarter of a loop.
ColourRun barred_strand(int rows, std::uint64_t seed) {
    constexpr std::array<double, 4> kParts{0.29, 0.21, 0.29, 0.21};
    constexpr double kLoopMm = 21.4;
    constexpr int kWales = 46;
    constexpr std::array<LinearRgb, 3> kBars{{{0.6, 0.05, 0.1}, {0.9, 0.8, 0.5}, {0.05, 0.2, 0.4}}};
    Random random(seed);
    std::vector<Piece> pieces;
    double start_mm = 0;
    for (int row = 0; row < rows; ++row) {
        for (int i = 0; i < kWales; ++i) {
            const int wale = row % 2 == 0 ? i : kWales - 1 - i;
            const LinearRgb paint = kBars[static_cast<std::size_t>(wale * 3 / kWales)];
            for (const double part : kParts) {
                Piece piece;
                piece.start_mm = start_mm;
                piece.length_mm = part * kLoopMm;
                piece.colour = mixed({0.9, 0.87, 0.8}, paint, 0.5 + 0.5 * random.uniform());
                pieces.push_back(piece);
                start_mm += piece.length_mm;
            }
        }
    }
    return ColourRun(std::move(pieces));
}

SweepPlan plan_of(std::vector<int> stitches, Worked worked = Worked::in_the_round) {
    return {.stitches = std::move(stitches), .yarn_per_stitch_mm = kYarnMm, .worked = worked};
}

PlainRounds knitted_plain(const ColourRun& run, int stitches, Worked worked) {
    Garment garment;
    for (int r = 0; r < 4000; ++r) {
        Round round;
        round.stitches = stitches;
        round.worked = worked;
        round.runs = worked == Worked::back_and_forth && r % 2 == 1 ? Runs::back : Runs::on;
        garment.rounds.push_back(round);
    }
    return plain_rounds(knitted(run, garment, {kYarnMm}));
}

void check_close(const Shares& a, const Shares& b, double tolerance) {
    CHECK(std::abs(a.stripe - b.stripe) < tolerance);
    CHECK(std::abs(a.pool - b.pool) < tolerance);
    CHECK(std::abs(a.dash - b.dash) < tolerance);
    CHECK(std::abs(a.speckle - b.speckle) < tolerance);
    CHECK(a.lean == b.lean);
    CHECK(std::abs(a.fade - b.fade) < tolerance);
    CHECK(std::abs(a.wiggle - b.wiggle) < tolerance);
    CHECK(std::abs(a.colour_range - b.colour_range) < tolerance * 100);  // of a range up to 100
}

/// One knitter's fabric by the slow way.
PlainRounds fabric_of_knitter(const ColourRun& run, const SweepPlan& plan, int stitches,
                              const std::vector<double>& starts) {
    const WindowColours colours(run, plan.yarn_per_stitch_mm, 1);
    PlainRounds plain{.stitches = stitches, .worked = plan.worked, .stitch = {}, .stretch_starts = {0}};
    const std::size_t whole =
        (starts.size() - 1) / static_cast<std::size_t>(stitches) * static_cast<std::size_t>(stitches);
    for (std::size_t i = 0; i < whole; ++i) plain.stitch.push_back(colours.at(starts[i]));
    return plain;
}

double slow_risk(const ColourRun& run, const SweepPlan& plan, int stitches, const RiskOptions& options) {
    int pooling = 0;
    for (int i = 0; i < options.knitters; ++i) {
        const LoopLengths lengths(run.length_mm(), static_cast<std::size_t>(i), options);
        const Shares s = slow_shares(
            fabric_of_knitter(run, plan, stitches, stitch_starts(run.length_mm(), plan.yarn_per_stitch_mm, lengths)));
        if (s.stripe < 1 && s.pool / (1 - s.stripe) >= options.pooling_from &&
            s.pooled_contrast >= options.contrast_from)
            ++pooling;
    }
    return static_cast<double>(pooling) / options.knitters;
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("a sweep's shares are those of the fabric knitted at each count") {
        const ColourRun run = barred_strand(60, 1);
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
            const std::vector<SweepPoint> points = swept(run, plan_of({64, 60, 77, 40}, worked), {.knitters = 0});
            REQUIRE(points.size() == 4);
            CHECK(points[0].stitches == 64);
            CHECK(points[0].yarn_per_round_mm == doctest::Approx(64 * kYarnMm));
            for (const SweepPoint& point : points) {
                CAPTURE(point.stitches);
                check_close(point.shares, shares(knitted_plain(run, point.stitches, worked)), kSameSums);
                CHECK(point.pool_risk == 0);
            }
        }
    }

    TEST_CASE("colours read off the grid give the shares of exact ones") {
        // A leg shows 2.7 mm of yarn, so colour bends within a grid step of 1 mm and a straight line smooths it a
        // little: 0.0011 of speckle here, half a part in a hundred of it. Two parts in a thousand are a 25th of the
        // step that 100 knitters' risk scatters by.
        constexpr double kInterpolated = 2e-3;
        const ColourRun run = barred_strand(60, 2);
        const SweepPlan plan = plan_of({56, 64, 72});
        const LoopLengths exact(run.length_mm(), 0, {.length_sd = 0, .drift_sd = 0});
        const std::vector<double> starts = stitch_starts(run.length_mm(), plan.yarn_per_stitch_mm, exact);
        for (const SweepPoint& point : swept(run, plan, {.knitters = 0})) {
            CAPTURE(point.stitches);
            check_close(shares(fabric_of_knitter(run, plan, point.stitches, starts)), point.shares, kInterpolated);
        }
    }

    TEST_CASE("pool risk counts the knitters whose fabric pools by the slow way too") {
        const ColourRun run = barred_strand(40, 3);
        const RiskOptions options{.knitters = 12, .pooling_from = 0.1, .contrast_from = 3};
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
            const SweepPlan plan = plan_of({30, 61, 76, 77, 151}, worked);
            double some = 0;
            for (const SweepPoint& point : swept(run, plan, options)) {
                CAPTURE(point.stitches);
                CHECK(point.pool_risk == slow_risk(run, plan, point.stitches, options));
                some += point.pool_risk;
            }
            CHECK(some > 0);
            CHECK(some < 5);
        }
    }

    TEST_CASE("the grid has the exact colour of a stitch at whole millimetres and goes straight in between") {
        const ColourRun run = barred_strand(4, 8);
        const WindowColours colours(run, kYarnMm, 1);
        for (const double start_mm : {0.0, 17.0, 1200.0, 3900.0}) {
            CAPTURE(start_mm);
            const Lab exact = lab_from_linear(stitch_colour(run, start_mm, kYarnMm));
            const Lab next = lab_from_linear(stitch_colour(run, start_mm + 1, kYarnMm));
            CHECK(std::abs(colours.at(start_mm).l - exact.l) < kSameSums);
            CHECK(std::abs(colours.at(start_mm + 0.25).l - (0.75 * exact.l + 0.25 * next.l)) < kSameSums);
            CHECK(std::abs(colours.at(start_mm + 0.25).b - (0.75 * exact.b + 0.25 * next.b)) < kSameSums);
        }
    }

    TEST_CASE("pools too faint to matter are no risk") {
        const PlainRounds faint = fabric_of({.rounds = 60}, [](int k) {
            return Lab{50 + (k % 64 < 32 ? 8.0 : 0), 0, 0};
        });
        RiskOptions exact{.knitters = 3, .length_sd = 0, .drift_sd = 0};  // the colours lie 8 apart: a range of 4
        CHECK(swept(yarn_of(faint, kYarnMm), plan_of({64}), exact).front().pool_risk == 0);
        exact.contrast_from = 3.5;
        CHECK(swept(yarn_of(faint, kYarnMm), plan_of({64}), exact).front().pool_risk == 1);
    }

    TEST_CASE("knitters without scatter all agree") {
        const ColourRun strand = yarn_of(two_colours({.stitches = 64, .rounds = 60}, 64), kYarnMm);
        const RiskOptions exact{.knitters = 5, .length_sd = 0, .drift_sd = 0};
        const std::vector<SweepPoint> points = swept(strand, plan_of({64, 96}), exact);
        CHECK(points[0].pool_risk == 1);
        CHECK(points[0].shares.pool > 0.9);
        CHECK(points[1].pool_risk == 0);
    }

    TEST_CASE("the same numbers come out of one thread and of three") {
        const ColourRun run = barred_strand(30, 4);
        const SweepPlan plan = plan_of({40, 50, 61, 64, 77});
        const std::vector<SweepPoint> one = swept(run, plan, {.knitters = 20, .threads = 1});
        const std::vector<SweepPoint> three = swept(run, plan, {.knitters = 20, .threads = 3});
        for (std::size_t i = 0; i < one.size(); ++i) {
            CHECK(one[i].pool_risk == three[i].pool_risk);
            CHECK(one[i].shares.stripe == three[i].shares.stripe);
            CHECK(one[i].shares.wiggle == three[i].shares.wiggle);
        }
    }

    TEST_CASE("several strands swept together come out as each alone") {
        const std::vector<ColourRun> runs{barred_strand(30, 5), barred_strand(24, 6), ColourRun()};
        const SweepPlan plan = plan_of({50, 64});
        const auto together = swept(runs, plan, {.knitters = 20});
        REQUIRE(together.size() == 3);
        for (std::size_t r = 0; r < 2; ++r) {
            const auto alone = swept(runs[r], plan, {.knitters = 20});
            for (std::size_t i = 0; i < alone.size(); ++i) {
                CHECK(together[r][i].pool_risk == alone[i].pool_risk);
                CHECK(together[r][i].shares.pool == alone[i].shares.pool);
            }
        }
        CHECK_FALSE(together[2][0].shares.why_none.empty());
    }

    TEST_CASE("other seeds are other knitters") {
        const LoopLengths a(1000, 0, {.seed = 1});
        const LoopLengths b(1000, 0, {.seed = 2});
        const LoopLengths c(1000, 1, {.seed = 1});
        CHECK(a.ratio_at(500) != b.ratio_at(500));
        CHECK(a.ratio_at(500) != c.ratio_at(500));
        CHECK(a.ratio_at(500) == LoopLengths(2000, 0, {.seed = 1}).ratio_at(500));
    }

    TEST_CASE("a yarn of one colour and one too short for three rounds make no risk") {
        const ColourRun plain = yarn_of(fabric_of({.rounds = 20}, [](int) { return kPale; }), 13);
        for (const SweepPoint& point : swept(plain, plan_of({15, 64, 600}), {.knitters = 10})) {
            CAPTURE(point.stitches);
            CHECK(point.pool_risk == 0);
            CHECK(point.shares.stripe == 0);
            CHECK(point.shares.colour_range == 0);
            CHECK(point.shares.why_none.empty() == (point.stitches == 64));
        }
    }

    TEST_CASE("plans and options out of range are a broken contract") {
        const ColourRun run = barred_strand(5, 7);
        CHECK_THROWS_AS(swept(run, plan_of({0})), std::logic_error);
        CHECK_THROWS_AS(swept(run, {.stitches = {64}, .yarn_per_stitch_mm = 0}), std::logic_error);
        CHECK_THROWS_AS(swept(run, plan_of({64}), {.length_sd = 0.5}), std::logic_error);
        CHECK_THROWS_AS(swept(run, plan_of({64}), {.drift_mm = 0}), std::logic_error);
    }

    // Source: the closed form of the Ornstein-Uhlenbeck process: covariance sd^2 exp(-distance / correlation length).
    TEST_CASE("loop lengths have the spread and the memory they are said to have") {
        constexpr int kKnitters = 4000;
        constexpr double kLagMm = 800;
        // 3 standard errors of a variance or covariance over so many independent knitters: 3 sqrt(2 / 4000)
        constexpr double kScatter = 0.07;
        const RiskOptions drift_only{.length_sd = 0, .seed = 11};
        double start = 0, end = 0, product = 0, length = 0;
        for (std::size_t i = 0; i < kKnitters; ++i) {
            const LoopLengths drift(5000, i, drift_only);
            const double u = (drift.ratio_at(0) - 1) / 0.02;
            const double v = (drift.ratio_at(4000) - 1) / 0.02;
            start += u * u;
            end += v * v;
            product += v * (drift.ratio_at(4000 + kLagMm) - 1) / 0.02;
            const double z = (LoopLengths(100, i, {.drift_sd = 0, .seed = 11}).ratio_at(50) - 1) / 0.05;
            length += z * z;
        }
        CHECK(std::abs(start / kKnitters - 1) < kScatter);
        CHECK(std::abs(end / kKnitters - 1) < kScatter);
        CHECK(std::abs(product / kKnitters - std::exp(-kLagMm / 1600)) < kScatter);
        CHECK(std::abs(length / kKnitters - 1) < kScatter);
    }

    TEST_CASE("stitches follow each other to the yarn's end by the knitter's loop lengths") {
        const LoopLengths lengths(3000, 2, {});
        const std::vector<double> starts = stitch_starts(3000, 13, lengths);
        CHECK(starts.front() == 0);
        CHECK(starts.back() <= 3000);
        CHECK(starts.back() + 13 * lengths.ratio_at(starts.back()) > 3000);
        for (std::size_t i = 0; i + 1 < starts.size(); ++i)
            CHECK(starts[i + 1] - starts[i] == doctest::Approx(13 * lengths.ratio_at(starts[i])));
    }
}
