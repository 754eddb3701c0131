#include "loopread/contrast/layers.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/overdye/strengths.h"

using namespace loopread;

TEST_SUITE("contrast") {
    TEST_CASE("a stencil is judged on what it lies on, also where it is lost outright") {
        const LinearRgb undyed = linear_from_srgb8({0xf3, 0xed, 0xe0}), blue = linear_from_srgb8({0x27, 0x4f, 0x9f});
        const BlankRaster raster{.rows = 60, .columns = 40, .mm_per_column = 0.65, .mm_per_row = 0.65};
        Paint paint;
        paint.raster = raster;
        paint.ground = Image(1, 1, blue);
        Plane amount(raster.rows, raster.columns);
        for (int row = 10; row < 50; ++row)
            for (int column = 10; column < 30; ++column) amount(row, column) = 0.25;
        paint.layers.push_back({"more of the same blue", amount, dye_of(blue, undyed), 0.4});
        for (double& value : amount) value *= 4;
        paint.layers.push_back({"black", amount, dye_of({0.02, 0.02, 0.02}, undyed), 0.4});
        paint.layers.push_back({"nothing", Plane(raster.rows, raster.columns), dye_of(blue, undyed), 0.4});
        const auto found = layer_contrasts(paint, kLostUnder);
        REQUIRE(found.size() == 3);
        CHECK(found[0].apart.held == Held::lost);
        // without the black its ground is the blue bath with a quarter more blue
        const LinearRgb beneath = overdyed(blue, paint.layers[0].dye, 0.25);
        CHECK(found[1].without.g == doctest::Approx(beneath.g).epsilon(1e-9));
        CHECK(found[1].with.g == doctest::Approx(overdyed(beneath, paint.layers[1].dye, 1).g).epsilon(1e-9));
        CHECK(found[1].apart.held == Held::holds);
        CHECK(found[2].apart.delta_l == 0);
    }
}
