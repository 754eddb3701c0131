#include "loopread/loop/interlacing.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "loopread/base/error.h"

using namespace loopread;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kPublished3 = 0.5e-3;  // a figure printed with three decimals
constexpr double kSampled = 0.5e-3;     // samples 0.03 apart on two curves 0.25 apart

bool within(double value, double expected, double tolerance) {
    return std::abs(value - expected) <= tolerance;
}

struct Row {
    double wale_per_course, length_per_wale, next_course, second_course, same_course;
};
// [Crane 2023] Eq. 1 in real sizes, a = 1.487, E = 0.40: least distances found numerically, apart from this code.
constexpr Row kTable3a[] = {{1.15, 4.482, 0.250, 0.300, 0.250},
                            {1.25, 4.299, 0.250, 0.273, 0.250},
                            {1.31, 4.199, 0.250, 0.262, 0.250},
                            {1.40, 4.062, 0.250, 0.250, 0.250},
                            {1.45, 3.991, 0.250, 0.245, 0.250}};

/// The nearest drawable l/w by plain search, or nothing within 3 of it.
std::optional<double> nearest_drawable(LoopProportions wanted, double step) {
    for (double off = 0; off < 3; off += step)
        for (const double length : {wanted.length_per_wale - off, wanted.length_per_wale + off})
            if (length > least_loop_length() && can_be_drawn(LoopShape({wanted.wale_per_course, length})))
                return length;
    return {};
}

}  // namespace

TEST_SUITE("loop") {
    TEST_CASE("courses come as near to each other as the table of Crane's curve says") {
        for (const Row& row : kTable3a) {
            CAPTURE(row.wale_per_course);
            const Clearance found = clearance(LoopShape({row.wale_per_course, row.length_per_wale}));
            CHECK(within(found.next_course, row.next_course, kPublished3 + kSampled));
            CHECK(within(found.second_course, row.second_course, kPublished3 + kSampled));
            CHECK(within(found.same_course, row.same_course, kPublished3 + kSampled));
            CHECK(found.least() == std::min({found.next_course, found.second_course, found.same_course}));
        }
    }

    // [Peirce 1947]: in the closest structure four diameters make a stitch width. [Hepworth 1976] (year from memory), a
    // model of forces in three dimensions: 16.75 diameters make a loop; Peirce's own figure is 16.66.
    TEST_CASE("the thickest yarn that fits is a quarter of the stitch width, as Peirce and Hepworth and Leaf found") {
        const LoopShape relaxed({1.31, 4.199});
        const double thickest = clearance(relaxed).least();
        CHECK(within(1 / thickest, 4, 4 * (kPublished3 + kSampled) / 0.25));
        constexpr double kOtherModel = 0.01;  // three models of one loop, of unlike curves: within 1 per cent
        CHECK(within(relaxed.length() / thickest, 16.75, 16.75 * kOtherModel));
        CHECK(within(relaxed.length() / thickest, 16.66, 16.66 * kOtherModel));
        CHECK(thickest >= kVisibleDiameter - kSampled);
    }

    TEST_CASE("a loop crosses the next course four times, through the old head from behind") {
        for (const Row& row : kTable3a) {
            CAPTURE(row.wale_per_course);
            const auto found = crossings(LoopShape({row.wale_per_course, row.length_per_wale}));
            REQUIRE(found.size() == 4);
            // From left to right: new foot behind the old leg, new leg in front of the old head, twice.
            CHECK(found[0].z_gap > kVisibleDiameter);
            CHECK(found[1].z_gap < -kVisibleDiameter);
            CHECK(found[2].z_gap < -kVisibleDiameter);
            CHECK(found[3].z_gap > kVisibleDiameter);
            for (std::size_t i = 0; i < 2; ++i) {  // the loop is its own mirror image
                CHECK(within(found[i].older_t, -found[3 - i].older_t, 1e-9));
                CHECK(within(found[i].newer_t, -found[3 - i].newer_t, 1e-9));
            }
        }
    }

    TEST_CASE("the crossings of the relaxed loop lie where the table of Crane's curve says") {
        const LoopShape shape({1.31, 4.199});
        const auto found = crossings(shape);
        REQUIRE(found.size() == 4);
        constexpr double kHalfStep = 0.005;  // the table gives the middles of steps of 0.01 pi
        const double older[] = {-0.445, -0.105, 0.105, 0.445};
        const double newer[] = {-0.895, -0.555, 0.555, 0.895};
        const double z_gap[] = {0.346, -0.346, -0.346, 0.346};
        for (std::size_t i = 0; i < 4; ++i) {
            CAPTURE(i);
            CHECK(within(found[i].older_t / kPi, older[i], kHalfStep));
            CHECK(within(found[i].newer_t / kPi, newer[i], kHalfStep));
            CHECK(within(found[i].z_gap, z_gap[i], kPublished3));
            const LoopVector gap = shape.point(found[i].newer_t) + LoopVector{0, shape.course_spacing(), 0} -
                                   shape.point(found[i].older_t);
            CHECK(std::hypot(gap.x, gap.y) < 1e-9);
            CHECK(within(gap.z, found[i].z_gap, 1e-9));
        }
    }

    TEST_CASE("the usual blank is drawn as it was measured") {
        // 46 x 214 stitches over 24 x 86 cm of 211 m: w/c 1.298, l/w 4.108.
        const LoopProportions usual{(240.0 / 46) / (860.0 / 214), 211000.0 / (46 * 214) / (240.0 / 46)};
        REQUIRE(within(usual.wale_per_course, 1.298, kPublished3));
        REQUIRE(within(usual.length_per_wale, 4.108, kPublished3));
        const DrawnShape drawn = drawn_shape(usual);
        CHECK_FALSE(drawn.moved);
        CHECK(drawn.shape.proportions().wale_per_course == usual.wale_per_course);
        CHECK(drawn.shape.proportions().length_per_wale == usual.length_per_wale);
    }

    TEST_CASE("stitches far from the usual form are held to 1.15 and 1.45, and the tool says so") {
        const double low = std::sqrt(23.1 / 1.15);
        const double high = std::sqrt(23.1 / 1.45);
        const DrawnShape tall = drawn_shape({0.8, low});
        CHECK(tall.moved);
        CHECK(tall.shape.proportions().wale_per_course == 1.15);
        CHECK(tall.shape.proportions().length_per_wale == low);
        const DrawnShape wide = drawn_shape({2.0, high});
        CHECK(wide.moved);
        CHECK(wide.shape.proportions().wale_per_course == 1.45);
        CHECK(wide.shape.proportions().length_per_wale == high);
        for (const double ratio : {1.15, 1.2, 1.3, 1.4, 1.45}) {
            CAPTURE(ratio);
            CHECK_FALSE(drawn_shape({ratio, std::sqrt(23.1 / ratio)}).moved);
        }
    }

    // Between l/w = 5.5 and 5.9 at w/c = 1.15 the tubes clear each other again, each loop caught in the two courses
    // above.
    TEST_CASE("a loop that reaches two courses up is no plain knitting") {
        CHECK_FALSE(can_be_drawn(LoopShape({1.15, 5.88})));
        CHECK_FALSE(can_be_drawn(LoopShape({1.20, 5.71})));
        for (const double ratio : {1.15, 1.20, 1.25, 1.45})
            for (const double length : {3.0, 5.5, 5.9, 7.0, 9.0}) {
                CAPTURE(ratio);
                CAPTURE(length);
                const LoopShape drawn = drawn_shape({ratio, length}).shape;
                CHECK(drawn.height() < 2 * drawn.course_spacing());
            }
    }

    TEST_CASE("a loop length that cannot be drawn moves to the nearest one that can, and no further") {
        constexpr double kSearch = 0.02;  // steps of the plain search
        for (const double ratio : {1.15, 1.31, 1.45})
            for (const double length : {2.9, 3.3, 5.5, 7.0}) {
                CAPTURE(ratio);
                CAPTURE(length);
                REQUIRE_FALSE(can_be_drawn(LoopShape({ratio, length})));
                const DrawnShape drawn = drawn_shape({ratio, length});
                CHECK(drawn.moved);
                CHECK(can_be_drawn(drawn.shape));
                CHECK(drawn.shape.proportions().wale_per_course == ratio);
                const auto nearest = nearest_drawable({ratio, length}, kSearch);
                REQUIRE(nearest);
                CHECK(within(drawn.shape.length(), *nearest, kSearch));
            }
    }

    TEST_CASE("a loop too short for any curve is refused, not moved") {
        CHECK_THROWS_AS(drawn_shape({1.31, 2.5}), Error);
    }
}
