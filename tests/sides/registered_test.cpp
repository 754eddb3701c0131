#include "loopread/sides/registered.h"

#include <doctest/doctest.h>

#include <cmath>

#include "sides/side_photos.h"

using namespace loopread;
using namespace loopread::side_photos;

namespace {

constexpr double kFifthOfStitch = 0.2;  // chosen: a leg is a quarter of a stitch wide; colours meet legs of their own

/// Root mean square difference away from the edges, where what lies beyond is made up.
double difference(const Image& a, const Image& b) {
    constexpr int kMargin = 3 * kAcross;
    double sum = 0, count = 0;
    for (int r = kMargin; r < a.rows() - kMargin; ++r)
        for (int c = kMargin; c < a.columns() - kMargin; ++c) {
            const LinearRgb off = a(r, c) - b(r, c);
            sum += off.r * off.r + off.g * off.g + off.b * off.b;
            count += 3;
        }
    return std::sqrt(sum / count);
}

Recipe usual() {
    Recipe recipe;
    recipe.wrap = 0.3;
    return recipe;
}

CellCount cells_of(const Recipe& recipe) {
    return {recipe.stitches, recipe.rows};
}

}  // namespace

TEST_SUITE("sides") {
    TEST_CASE("stitches that lie off by a known step are found within a fifth of a stitch") {
        Recipe recipe = usual();
        const Design design = blots(5, recipe.stitches, recipe.rows);
        const Image painted = painted_photo(recipe, design), truth = other_photo(recipe, design);
        for (const double penetration : {0.1, 0.4})
            for (const double off : {0.0, 0.7, 1.5}) {
                CAPTURE(penetration);
                CAPTURE(off);
                Recipe moved = recipe;
                moved.penetration = penetration;
                moved.off_x = off;
                moved.off_y = -0.8 * off;
                const RegisteredSides found = registered(painted, other_photo(moved, design), cells_of(recipe));
                CHECK(found.agreement == Agreement::agree);
                CHECK(std::abs(found.mean_shift - std::hypot(moved.off_x, moved.off_y)) < kFifthOfStitch);
            }
    }

    TEST_CASE("wales that sway are straightened: what is left over is a fraction of what was wrong") {
        Recipe recipe = usual();
        const Design design = blots(6, recipe.stitches, recipe.rows);
        const Image truth = other_photo(recipe, design);
        Recipe swaying = recipe;
        swaying.sway = 1.2;
        swaying.off_x = -0.4;
        const Image other = other_photo(swaying, design);
        const RegisteredSides found = registered(painted_photo(recipe, design), other, cells_of(recipe));
        // Relief and noise stay where a stitch is off by a fifth of itself; colours must not.
        CHECK(difference(found.moved, truth) < 0.45 * difference(other, truth));
        CHECK(found.largest_shift == doctest::Approx(0.8).epsilon(0.35));
    }

    TEST_CASE("a blank turned end over end, or photographed across, is turned back") {
        const Recipe recipe = usual();
        const Design design = blots(7, recipe.stitches, recipe.rows);
        const Image painted = painted_photo(recipe, design), other = other_photo(recipe, design);
        const std::pair<QuarterTurn, QuarterTurn> turns[] = {{QuarterTurn::none, QuarterTurn::none},
                                                             {QuarterTurn::clockwise_180, QuarterTurn::clockwise_180},
                                                             {QuarterTurn::clockwise_90, QuarterTurn::clockwise_270},
                                                             {QuarterTurn::clockwise_270, QuarterTurn::clockwise_90}};
        const Image as_it_lay = registered(painted, other, cells_of(recipe)).moved;
        for (const auto& [there, back] : turns) {
            const RegisteredSides found = registered(painted, turned(other, there), cells_of(recipe));
            CHECK(found.agreement == Agreement::agree);
            CHECK(found.turn == back);
            CHECK_FALSE(found.either_pose);
            CHECK(difference(found.moved, as_it_lay) < 1e-3);
        }
    }

    TEST_CASE("a design that looks alike end over end is laid by habit, and that is said") {
        const Recipe recipe = usual();
        const Design once = blots(8, recipe.stitches, recipe.rows);
        const Design twice = [&](double x, double y) {
            const bool lower = y > recipe.rows / 2.0;
            return once(lower ? recipe.stitches - x : x, lower ? recipe.rows - y : y);
        };
        const RegisteredSides found =
            registered(painted_photo(recipe, twice), other_photo(recipe, twice), cells_of(recipe));
        CHECK(found.agreement == Agreement::agree);
        CHECK(found.either_pose);
        CHECK(found.turn == QuarterTurn::none);
    }

    TEST_CASE("another blank is told from the same one, twenty out of twenty") {
        const Recipe recipe = usual();
        const Design design = blots(5, recipe.stitches, recipe.rows);
        const Image painted = painted_photo(recipe, design);
        for (std::uint64_t seed = 20; seed < 40; ++seed) {
            CAPTURE(seed);
            const Design foreign = blots(seed, recipe.stitches, recipe.rows);
            CHECK(registered(painted, other_photo(recipe, foreign), cells_of(recipe)).agreement == Agreement::unlike);
            CHECK(
                registered(painted_photo(recipe, foreign), other_photo(recipe, foreign), cells_of(recipe)).agreement ==
                Agreement::agree);
        }
    }

    TEST_CASE("where the other side is plain nothing is claimed, and edges lie on edges") {
        const Recipe recipe = usual();
        const Design design = blots(9, recipe.stitches, recipe.rows);
        const Image plain = other_photo(recipe, [](double, double) { return kUndyed; });
        const RegisteredSides found = registered(painted_photo(recipe, design), plain, cells_of(recipe));
        CHECK(found.agreement == Agreement::nothing_told);
        CHECK(found.turn == QuarterTurn::none);
        CHECK(found.largest_shift == 0);
        CHECK(difference(found.moved, plain) < 0.03);  // resampled on the same raster: four looks a pixel
    }
}
