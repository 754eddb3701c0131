#include "loopread/lattice/shade.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "loopread/base/random.h"
#include "loopread/loop/interlacing.h"
#include "loopread/raster/cloth.h"

using namespace loopread;

namespace {

constexpr int kStitches = 40, kRows = 60;
constexpr LinearRgb kYarn{0.55, 0.42, 0.30};

/// Knit fabric of the colours that `colour` gives each stitch, drawn with all its relief.
template <class Colour>
Image knitting(const Colour& colour) {
    Cloth cloth(kRows, kStitches, 1);
    for (int row = 0; row < kRows; ++row)
        for (int column = 0; column < kStitches; ++column) {
            cloth.set_worked(row, column);
            for (int p = 0; p < Cloth::kPlaces; ++p) cloth.loop(row, column, 0)[p] = colour(row, column);
        }
    ClothLook look;
    look.pixels_per_stitch = 9;
    look.unevenness = 0;
    return drawn_cloth(cloth, drawn_shape({1.31, 4.18}).shape, look);
}

double light(LinearRgb c) {
    return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

struct Scatter {
    double mean = 0, relative_sd = 0;
};
Scatter scatter_of(const Image& image) {
    double sum = 0, squares = 0;
    for (const LinearRgb& pixel : image) {
        sum += light(pixel);
        squares += light(pixel) * light(pixel);
    }
    const double n = static_cast<double>(image.size()), mean = sum / n;
    return {mean, std::sqrt(std::max(0.0, squares / n - mean * mean)) / mean};
}

/// Mean light of one cell.
double cell_light(const Image& image, int row, int column) {
    double sum = 0;
    int count = 0;
    for (int y = row * image.rows() / kRows; y < (row + 1) * image.rows() / kRows; ++y)
        for (int x = column * image.columns() / kStitches; x < (column + 1) * image.columns() / kStitches; ++x) {
            sum += light(image(y, x));
            ++count;
        }
    return sum / count;
}

}  // namespace

TEST_SUITE("lattice") {
    TEST_CASE("fabric of one colour loses most of its light and shade and keeps its mean") {
        const Image fabric = knitting([](int, int) { return kYarn; });
        const Scatter before = scatter_of(fabric);
        const Scatter after = scatter_of(without_shade(fabric, {kStitches, kRows}));
        REQUIRE(before.relative_sd > 0.15);
        CHECK(after.relative_sd < 0.3 * before.relative_sd);  // the hard border of a leg is finer than a bin
        CHECK(std::abs(after.mean / before.mean - 1) < 0.05);
    }

    TEST_CASE("dyed stitches keep their colour against undyed ones") {
        Random random(3);
        Grid<unsigned char> dyed(kRows, kStitches, 0);
        for (auto& cell : dyed) cell = random.uniform() < 0.3 ? 1 : 0;
        const Image fabric = knitting([&](int row, int column) { return kYarn * (dyed(row, column) ? 0.4 : 1.0); });
        const Image flat = without_shade(fabric, {kStitches, kRows});
        double dark = 0, pale = 0;
        int darks = 0, pales = 0;
        for (int row = 0; row < kRows; ++row)
            for (int column = 0; column < kStitches; ++column) {
                (dyed(row, column) ? dark : pale) += cell_light(flat, row, column);
                ++(dyed(row, column) ? darks : pales);
            }
        double dark_before = 0, pale_before = 0;
        for (int row = 0; row < kRows; ++row)
            for (int column = 0; column < kStitches; ++column)
                (dyed(row, column) ? dark_before : pale_before) += cell_light(fabric, row, column);
        const double ratio = (dark / darks) / (pale / pales),
                     ratio_before = (dark_before / darks) / (pale_before / pales);
        CHECK(std::abs(ratio / ratio_before - 1) < 0.05);
    }

    TEST_CASE("hue is left alone: only light is divided out") {
        const Image fabric = knitting([](int, int) { return kYarn; });
        const Image flat = without_shade(fabric, {kStitches, kRows});
        for (int i = 0; i < 200; ++i) {
            const LinearRgb was = fabric(i % fabric.rows(), (7 * i) % fabric.columns());
            const LinearRgb is = flat(i % fabric.rows(), (7 * i) % fabric.columns());
            CHECK(std::abs(was.r * is.g - was.g * is.r) < 1e-12);
            CHECK(std::abs(was.b * is.g - was.g * is.b) < 1e-12);
        }
    }

    TEST_CASE("a light that falls off over the picture stays, and its relief goes all the same") {
        Image fabric = knitting([](int, int) { return kYarn; });
        for (int y = 0; y < fabric.rows(); ++y)
            for (int x = 0; x < fabric.columns(); ++x) fabric(y, x) = fabric(y, x) * (0.5 + 0.5 * x / fabric.columns());
        const Image flat = without_shade(fabric, {kStitches, kRows});
        CHECK(cell_light(flat, 30, 38) / cell_light(flat, 30, 1) ==
              doctest::Approx(cell_light(fabric, 30, 38) / cell_light(fabric, 30, 1)).epsilon(0.05));
    }

    TEST_CASE("a picture too small for its stitches is a broken contract") {
        CHECK_THROWS_AS(without_shade(Image(20, 20), {10, 10}), std::logic_error);
        CHECK_THROWS_AS(without_shade(Image(20, 20), {0, 10}), std::logic_error);
    }
}
