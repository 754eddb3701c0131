#include <doctest/doctest.h>

#include "loopread/blank/paint.h"

using namespace loopread;

TEST_SUITE("blank") {
    TEST_CASE("on a raster of oblong pixels dye creeps as far along as across") {
        constexpr double kNinetyPercent = 1.2816;  // point of the normal distribution, as tables have it
        constexpr double kTable = 1e-4;            // of its four decimals
        const RasterBlur blur = creep_blur({6.0}, BlankRaster{300, 200, 0.5, 2.0});
        const double sigma_mm = 6.0 / (2 * kNinetyPercent);
        CHECK(blur.sigma_x * 0.5 == doctest::Approx(sigma_mm).epsilon(kTable));
        CHECK(blur.sigma_y * 2.0 == doctest::Approx(sigma_mm).epsilon(kTable));
    }
}
