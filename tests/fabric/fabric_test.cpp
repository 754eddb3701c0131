#include "loopread/fabric/fabric.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "loopread/base/random.h"
#include "loopread/shape/garments.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;  // sums of some thousands of lengths, and their differences
constexpr double kGrid = 0.05;      // mm: every piece and every leg below begins and ends on a multiple of this
constexpr double kStitch = 10;      // mm, so that legs of .145-.355 and .645-.855 keep to that grid

/// Yarn of random colours in random lengths, all on the grid.
ColourRun random_run(int pieces, std::uint64_t seed) {
    Random random(seed);
    std::vector<Piece> out;
    long long steps = 0;
    for (int i = 0; i < pieces; ++i) {
        const int length = 1 + static_cast<int>(random.uniform() * 120);
        Piece piece;
        piece.start_mm = static_cast<double>(steps) * kGrid;
        piece.length_mm = length * kGrid;
        piece.colour = {random.uniform(), random.uniform(), random.uniform()};
        out.push_back(piece);
        steps += length;
    }
    return ColourRun(out);
}

ColourRun plain_run(double length_mm, LinearRgb colour = {0.2, 0.3, 0.4}) {
    Piece piece;
    piece.length_mm = length_mm;
    piece.colour = colour;
    return ColourRun({piece});
}

/// The mean colour of two legs, step by step along the grid. Legs: [Crane 2023], shares .29/.21/.29/.21 of the yarn
/// from the beginning of the sinker arc, hence .145 off from its middle.
LinearRgb slow_stitch(const ColourRun& run, double start_mm) {
    LinearRgb sum;
    int steps = 0;
    for (const double leg_from : {1.45, 6.45})
        for (int i = 0; i < 42; ++i, ++steps) {
            const double middle = start_mm + leg_from + (i + 0.5) * kGrid;
            for (const Piece& piece : run.pieces())
                if (middle > piece.start_mm && middle < piece.start_mm + piece.length_mm) sum += piece.colour;
        }
    return sum * (1.0 / steps);
}

double difference(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

/// Gauge in stitches to the inch, with the row to stitch ratio of fully relaxed plain fabric.
Gauge gauge_of_inch(double stitches) {
    return {stitches * 100 / 25.4, stitches * 100 / 25.4 * 1.31};
}

}  // namespace

TEST_SUITE("fabric") {
    TEST_CASE("with yarn enough all rounds are knitted, one after the other") {
        const Fabric fabric = knitted(plain_run(1000), tube(8, 5), {kStitch});
        REQUIRE(fabric.rounds.size() == 5);
        for (std::size_t r = 0; r < 5; ++r) {
            CHECK(fabric.rounds[r].first == 8 * r);
            CHECK(fabric.rounds[r].end == 8 * (r + 1));
            CHECK(fabric.rounds[r].complete());
        }
        CHECK(fabric.stitches.size() == 40);
        CHECK(fabric.rounds_planned == 5);
        CHECK_FALSE(fabric.ran_out());
        CHECK(fabric.yarn_per_stitch.value == kStitch);
        CHECK(fabric.yarn_used.value == doctest::Approx(400).epsilon(kRounding));
        CHECK(fabric.yarn_left.value == doctest::Approx(600).epsilon(kRounding));
    }

    TEST_CASE("rounds of unequal counts follow the garment") {
        Garment garment;
        for (const int stitches : {3, 7, 4}) garment.rounds.push_back({.stitches = stitches});
        const Fabric fabric = knitted(plain_run(1000), garment, {kStitch});
        REQUIRE(fabric.rounds.size() == 3);
        CHECK(fabric.rounds[1].first == 3);
        CHECK(fabric.rounds[2].first == 10);
        CHECK(fabric.rounds[2].end == 14);
        CHECK(fabric.rounds[1].round == garment.rounds[1]);
    }

    TEST_CASE("yarn that ends within a round leaves it incomplete, and less than a stitch over") {
        const Fabric fabric = knitted(plain_run(207), tube(8, 5), {kStitch});
        REQUIRE(fabric.rounds.size() == 3);
        CHECK(fabric.rounds[1].complete());
        CHECK_FALSE(fabric.rounds[2].complete());
        CHECK(fabric.rounds[2].first == 16);
        CHECK(fabric.rounds[2].end == 20);
        CHECK(fabric.stitches.size() == 20);
        CHECK(fabric.ran_out());
        CHECK(fabric.rounds_planned == 5);
        CHECK(fabric.yarn_used.value == doctest::Approx(200).epsilon(kRounding));
        CHECK(fabric.yarn_left.value == doctest::Approx(7).epsilon(kRounding));
    }

    TEST_CASE("yarn that ends with a round has run out too, unless it was the last") {
        const Fabric short_of_two = knitted(plain_run(240), tube(8, 5), {kStitch});
        CHECK(short_of_two.rounds.size() == 3);
        CHECK(short_of_two.rounds.back().complete());
        CHECK(short_of_two.ran_out());
        const Fabric just_enough = knitted(plain_run(400), tube(8, 5), {kStitch});
        CHECK(just_enough.stitches.size() == 40);
        CHECK_FALSE(just_enough.ran_out());
        const Fabric one_short = knitted(plain_run(399.9), tube(8, 5), {kStitch});
        CHECK(one_short.stitches.size() == 39);
        CHECK(one_short.ran_out());
    }

    TEST_CASE("yarn shorter than a stitch, or none, knits nothing") {
        for (const ColourRun& run : {plain_run(9.99), ColourRun{}}) {
            const Fabric fabric = knitted(run, tube(8, 5), {kStitch});
            CHECK(fabric.rounds.empty());
            CHECK(fabric.stitches.empty());
            CHECK(fabric.ran_out());
            CHECK(fabric.yarn_used.value == 0);
            CHECK(fabric.yarn_left.value == run.length_mm());
        }
    }

    TEST_CASE("a stitch without yarn breaks the contract") {
        CHECK_THROWS_AS(knitted(plain_run(100), tube(8, 5), {0.0}), std::logic_error);
        CHECK_THROWS_AS(knitted(plain_run(100), tube(8, 5), {-1.0}), std::logic_error);
    }

    TEST_CASE("stitches have the colours that a plain slow loop finds") {
        const ColourRun run = random_run(400, 3);
        const Fabric fabric = knitted(run, tube(16, 9), {kStitch});
        const auto whole = static_cast<std::size_t>(run.length_mm() / kStitch);
        REQUIRE(fabric.stitches.size() == std::min<std::size_t>(144, whole));
        for (std::size_t i = 0; i < fabric.stitches.size(); ++i)
            CHECK(difference(fabric.stitches[i], slow_stitch(run, static_cast<double>(i) * kStitch)) < kRounding);
    }

    TEST_CASE("a stitch's colour is the exact integral over its legs, however short the pieces") {
        // Red for .2-.3 of the stitch only: all of it in the first leg, .10 of .42 shown.
        Piece before, red, after;
        before.length_mm = 2;
        red.start_mm = 2;
        red.length_mm = 1;
        red.colour = {1, 0, 0};
        after.start_mm = 3;
        after.length_mm = 17;
        const ColourRun run({before, red, after});
        CHECK(stitch_colour(run, 0, kStitch).r == doctest::Approx(0.10 / 0.42).epsilon(kRounding));
        CHECK(stitch_colour(run, 0, kStitch).g == 0);
        // Begun 1 mm later, the leg covers .245-.455 of that count: red for .055 of .42.
        CHECK(stitch_colour(run, 1, kStitch).r == doctest::Approx(0.055 / 0.42).epsilon(kRounding));
        // What lies in an arc alone is not seen on the knit side.
        CHECK(std::abs(stitch_colour(run, -2.5, kStitch).r) < kRounding);
    }

    TEST_CASE("knitting from the far end is knitting the reversed run") {
        const ColourRun run = random_run(200, 8);
        const Fabric far_end = knitted(run.reversed(), tube(8, 6), {kStitch});
        const Fabric near_end = knitted(run, tube(8, 6), {kStitch});
        REQUIRE(far_end.stitches.size() == 48);
        double against_near = 0;
        for (std::size_t i = 0; i < 48; ++i) {
            const double start = run.length_mm() - static_cast<double>(i + 1) * kStitch;
            CHECK(difference(far_end.stitches[i], slow_stitch(run, start)) < kRounding);
            against_near = std::max(against_near, difference(far_end.stitches[i], near_end.stitches[i]));
        }
        CHECK(against_near > 0.1);
    }

    TEST_CASE("a round of 64 stitches, 8 to the inch, takes 0.77 to 0.85 m") {
        // Common practice, no source: 3.8 to 4.2 stitch widths of yarn a stitch. The range is given to the centimetre.
        constexpr double kHalfACentimetre = 0.005;
        const double metres = 64 * yarn_per_stitch(gauge_of_inch(8)).value / 1000;
        CHECK(metres > 0.77 - kHalfACentimetre);
        CHECK(metres < 0.85 + kHalfACentimetre);
        // The same range, at 7 and 9 to the inch: 13.8 to 15.2 and 10.7 to 11.9 mm, given to a tenth.
        constexpr double kHalfATenth = 0.05;
        CHECK(yarn_per_stitch(gauge_of_inch(7)).value > 13.8 - kHalfATenth);
        CHECK(yarn_per_stitch(gauge_of_inch(7)).value < 15.2 + kHalfATenth);
        CHECK(yarn_per_stitch(gauge_of_inch(9)).value > 10.7 - kHalfATenth);
        CHECK(yarn_per_stitch(gauge_of_inch(9)).value < 11.9 + kHalfATenth);
    }

    TEST_CASE("yarn in a stitch follows the constants of fully relaxed plain fabric") {
        // [Munden 1959]: courses l / c = 5.5, wales l / w = 4.2, both of the yarn in a stitch.
        for (const double loop_mm : {5.0, 13.3, 22.4}) {
            const Gauge gauge{100 * 4.2 / loop_mm, 100 * 5.5 / loop_mm};
            CHECK(yarn_per_stitch(gauge).value == doctest::Approx(loop_mm).epsilon(kRounding));
        }
        CHECK_THROWS_AS(yarn_per_stitch({0, 42}), std::logic_error);
        CHECK_THROWS_AS(yarn_per_stitch({32, 0}), std::logic_error);
    }
}
