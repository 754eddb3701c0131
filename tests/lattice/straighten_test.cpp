#include "loopread/lattice/straighten.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

using namespace loopread;

namespace {

/// Light that tells where it is.
Image ramps(int rows, int columns) {
    Image image(rows, columns);
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x) image(y, x) = {(x + 0.5) / columns, (y + 0.5) / rows, 0.5};
    return image;
}

Grid<PicturePoint> middles_where(int rows, int stitches, auto place) {
    Grid<PicturePoint> middles(rows, stitches);
    for (int r = 0; r < rows; ++r)
        for (int k = 0; k < stitches; ++k) middles(r, k) = place(r, k);
    return middles;
}

constexpr double kClosedForm = 1e-9;  // straight ramps are read exactly between pixel middles

}  // namespace

TEST_SUITE("lattice") {
    TEST_CASE("stitches that already lie on a regular grid stay where they are") {
        const Image photo = ramps(120, 80);
        const auto middles = middles_where(12, 10, [](int r, int k) {
            return PicturePoint{8.0 * k + 4, 10.0 * r + 5};
        });
        const Image same = straightened(photo, middles, 120, 80);
        for (int y = 2; y < 118; ++y)
            for (int x = 2; x < 78; ++x) {
                CHECK(std::abs(same(y, x).r - photo(y, x).r) < kClosedForm);
                CHECK(std::abs(same(y, x).g - photo(y, x).g) < kClosedForm);
            }
    }

    TEST_CASE("a leaning lattice is set upright: each stitch shows the light of its own middle") {
        const Image photo = ramps(200, 200);
        const auto place = [](int r, int k) { return PicturePoint{40 + 10.0 * k + 2.0 * r, 30 + 9.0 * r - 1.0 * k}; };
        const auto middles = middles_where(12, 10, place);
        const Image upright = straightened(photo, middles, 12 * 9, 10 * 9);
        for (int r = 0; r < 12; ++r)
            for (int k = 0; k < 10; ++k) {
                const LinearRgb seen = upright(9 * r + 4, 9 * k + 4);
                CHECK(std::abs(seen.r - place(r, k).x / 200) < kClosedForm);
                CHECK(std::abs(seen.g - place(r, k).y / 200) < kClosedForm);
            }
    }

    TEST_CASE("a lattice of one stitch or of no picture is a broken contract") {
        CHECK_THROWS_AS(straightened(ramps(9, 9), Grid<PicturePoint>(1, 4), 9, 9), std::logic_error);
        CHECK_THROWS_AS(straightened(Image(), Grid<PicturePoint>(3, 4), 9, 9), std::logic_error);
        CHECK_THROWS_AS(straightened(ramps(9, 9), Grid<PicturePoint>(3, 4), 0, 9), std::logic_error);
    }
}
