#include "loopread/wound/sizes.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "loopread/loop/shape.h"

using namespace loopread;

namespace {

constexpr double kClosedForm = 1e-9;  // relative

/// 211 m in 50 g, as sock yarn usually is.
WoundYarn balls(int fifty_grams) {
    return {{211000.0 * fifty_grams}, yarn_diameter({50 / 0.211}), 1};
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("211 m on a reel of 1.5 m is 141 turns, 422 m is 281") {
        // The figures of trade: the last turn is begun but not full.
        CHECK(std::ceil(hank_turns({211000}, {1500})) == 141);
        CHECK(std::lround(hank_turns({422000}, {1500})) == 281);
    }

    TEST_CASE("a wound body takes up its yarn's volume over the packing") {
        const WoundYarn yarn = balls(1);
        const double volume = yarn_volume_mm3(yarn);
        CHECK(std::abs(volume - std::numbers::pi / 4 * yarn.diameter.value * yarn.diameter.value * 211000) <=
              kClosedForm * volume);
        const double radius = ball_diameter(yarn).value / 2;
        const double ball = 4.0 / 3 * std::numbers::pi * radius * radius * radius;
        CHECK(std::abs(ball * kBallPacking - volume) <= kClosedForm * volume);
        const CakeSize cake = cake_size(yarn);
        const double ring = std::numbers::pi / 4 *
                            (cake.diameter.value * cake.diameter.value - cake.hole.value * cake.hole.value) *
                            cake.height.value;
        CHECK(std::abs(ring * kCakePacking - volume) <= kClosedForm * volume);
    }

    TEST_CASE("50 g and 100 g come out in their usual sizes") {
        // Common practice, no source: balls of 6 to 8 and of 8 to 9 cm; cakes of 100 g 8 to 10 cm wide, 7 to 9 high.
        const double small = ball_diameter(balls(1)).value, large = ball_diameter(balls(2)).value;
        CHECK(small >= 60);
        CHECK(small <= 80);
        CHECK(large >= 80);
        CHECK(large <= 90);
        const CakeSize cake = cake_size(balls(2));
        CHECK(cake.diameter.value >= 80);
        CHECK(cake.diameter.value <= 100);
        CHECK(cake.height.value >= 65);  // just under 7 cm
        CHECK(cake.height.value <= 90);
    }

    TEST_CASE("two strands wound together take twice the room of one") {
        WoundYarn both = balls(1);
        both.strands = 2;
        CHECK(std::abs(yarn_volume_mm3(both) - yarn_volume_mm3(balls(2))) <= kClosedForm * yarn_volume_mm3(both));
    }
}
