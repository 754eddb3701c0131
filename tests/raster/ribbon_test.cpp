#include "loopread/raster/ribbon.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "loopread/base/random.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;  // means of some thousands of numbers

ColourRun random_run(int pieces, double piece_mm) {
    Random random(5);
    std::vector<Piece> out;
    for (int i = 0; i < pieces; ++i) {
        Piece piece;
        piece.start_mm = i * piece_mm;
        piece.length_mm = piece_mm;
        piece.colour = {random.uniform(), random.uniform(), random.uniform()};
        out.push_back(piece);
    }
    return ColourRun(out);
}

/// Red yarn for 30 mm, then green for 70 mm.
ColourRun red_then_green() {
    Piece red, green;
    red.length_mm = 30;
    red.colour = {1, 0, 0};
    green.start_mm = 30;
    green.length_mm = 70;
    green.colour = {0, 1, 0};
    return ColourRun({red, green});
}

LinearRgb mean_of(const Image& image) {
    LinearRgb sum;
    for (const LinearRgb& pixel : image) sum += pixel;
    return sum * (1.0 / static_cast<double>(image.size()));
}

void check_same(LinearRgb a, LinearRgb b) {
    CHECK(a.r == doctest::Approx(b.r).epsilon(kRounding));
    CHECK(a.g == doctest::Approx(b.g).epsilon(kRounding));
    CHECK(a.b == doctest::Approx(b.b).epsilon(kRounding));
}

}  // namespace

TEST_SUITE("raster") {
    TEST_CASE("a ribbon's mean is the mean of its yarn, whole or a part, at any size") {
        const ColourRun run = random_run(1000, 2.9);
        for (const int width : {1, 37, 640, 5000})
            for (const int height : {1, 2, 7, 40}) {
                check_same(mean_of(ribbon(run, {0, run.length_mm(), width, height})), run.mean(0, run.length_mm()));
                check_same(mean_of(ribbon(run, {411.3, 1702.8, width, height})), run.mean(411.3, 1702.8));
            }
    }

    TEST_CASE("every column of a ribbon is the mean of its own yarn") {
        const ColourRun run = random_run(300, 3.1);
        const Image image = ribbon(run, {100, 500, 160, 9});
        for (int column = 0; column < 160; ++column) {
            LinearRgb sum;
            for (int row = 0; row < 9; ++row) sum += image(row, column);
            check_same(sum * (1.0 / 9), run.mean(100 + column * 2.5, 100 + (column + 1) * 2.5));
        }
    }

    TEST_CASE("the yarn's beginning is at the left") {
        const Image image = ribbon(red_then_green(), {0, 100, 50, 12});
        for (int row = 0; row < 12; ++row) {
            CHECK(image(row, 0).r > 0.5);
            CHECK(image(row, 14).g == 0);
            CHECK(image(row, 15).r == doctest::Approx(0).epsilon(kRounding));
            CHECK(image(row, 49).g > 0.5);
        }
    }

    TEST_CASE("a ribbon is darker at its edges, as a thread is") {
        const Image image = ribbon(red_then_green(), {0, 20, 10, 24});
        CHECK(image(0, 5).r < image(12, 5).r);
        CHECK(image(23, 5).r == image(0, 5).r);
    }

    TEST_CASE("a window wider than a pixel spreads an edge over just so much yarn") {
        const Image image = ribbon(red_then_green(), {0, 100, 100, 1, 10});  // a column a millimetre, 10 mm each
        CHECK(image(0, 24).g == doctest::Approx(0).epsilon(kRounding));      // 19.5 to 29.5 mm
        CHECK(image(0, 25).g == doctest::Approx(0.05).epsilon(kRounding));   // 20.5 to 30.5 mm
        CHECK(image(0, 29).g == doctest::Approx(0.45).epsilon(kRounding));
        CHECK(image(0, 35).g == doctest::Approx(1).epsilon(kRounding));
    }

    TEST_CASE("a view of nothing breaks the contract") {
        const ColourRun run = red_then_green();
        CHECK_THROWS_AS(ribbon(run, {10, 10, 5, 5}), std::logic_error);
        CHECK_THROWS_AS(ribbon(run, {0, 10, 0, 5}), std::logic_error);
        CHECK_THROWS_AS(ribbon(run, {0, 10, 5, 0}), std::logic_error);
    }
}
