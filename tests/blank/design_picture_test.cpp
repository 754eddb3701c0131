#include "loopread/blank/design_picture.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;
constexpr LinearRgb kUpper{0.6, 0.05, 0.1}, kLower{0.02, 0.1, 0.3};

/// The upper and the lower half of a blank in two colours.
Paint halves() {
    Paint paint;
    paint.raster = {.rows = 400, .columns = 100, .mm_per_column = 2, .mm_per_row = 1};
    paint.ground = Image(1, 1, LinearRgb{0.85, 0.8, 0.7});
    paint.picture = Image(400, 100, kUpper);
    for (int r = 200; r < 400; ++r)
        for (int c = 0; c < 100; ++c) (*paint.picture)(r, c) = kLower;
    paint.penetration = 0.2;
    return paint;
}

double difference(LinearRgb a, LinearRgb b) {
    return std::abs(a.r - b.r) + std::abs(a.g - b.g) + std::abs(a.b - b.b);
}

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("the picture of a design has the blank's proportions and its colours, as if dyed through") {
        for (const int rows : {60, 240}) {
            CAPTURE(rows);
            const Image picture = design_picture(halves(), rows);
            CHECK(picture.rows() == rows);
            CHECK(picture.columns() == rows / 2);  // 20 x 40 cm
            CHECK(difference(picture(0, 0), kUpper) < kRounding);
            CHECK(difference(picture(rows / 2 - 3, rows / 4), kUpper) < kRounding);
            CHECK(difference(picture(rows / 2 + 2, rows / 4), kLower) < kRounding);
            CHECK(difference(picture(rows - 1, rows / 2 - 1), kLower) < kRounding);
        }
    }

    TEST_CASE("a picture of no rows is a broken contract") {
        CHECK_THROWS_AS(design_picture(halves(), 0), std::logic_error);
    }
}
