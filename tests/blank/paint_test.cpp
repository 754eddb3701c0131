#include "loopread/blank/paint.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/image/sampling.h"

using namespace loopread;

namespace {

constexpr double kHandFigure = 1e-6;  // six decimals below
constexpr double kRounding = 1e-12;

/// One raster pixel, so that every place has the same paint. wrap 0.7, penetration 0.4.
Paint one_spot() {
    Paint paint;
    paint.raster = {1, 1, 10.0, 10.0};
    paint.ground = Image(1, 1, LinearRgb{0.5, 0.6, 0.7});
    return paint;
}

Paint pictured() {
    Paint paint = one_spot();
    paint.picture = Image(1, 1, LinearRgb{0.8, 0.2, 0.1});
    return paint;
}

Paint two_sided() {
    Paint paint = pictured();
    paint.other_side = Image(1, 1, LinearRgb{0.2, 0.4, 0.6});
    return paint;
}

LinearRgb seen_as(const Paint& paint, double painted, double other = 0) {
    return yarn_colour(paint, 5, 5, {painted, other});
}

void check_colour(LinearRgb colour, LinearRgb expected, double tolerance) {
    CHECK(std::abs(colour.r - expected.r) < tolerance);
    CHECK(std::abs(colour.g - expected.g) < tolerance);
    CHECK(std::abs(colour.b - expected.b) < tolerance);
}

DyeLayer layer(double k_over_s, double penetration, double amount = 1) {
    return {"dye", Plane(1, 1, amount), {k_over_s, k_over_s, k_over_s}, penetration};
}

/// Grey ground of reflectance 0.5, K/S 0.25.
Paint layered(std::vector<DyeLayer> layers) {
    Paint paint = one_spot();
    paint.ground = Image(1, 1, LinearRgb{0.5, 0.5, 0.5});
    paint.layers = std::move(layers);
    return paint;
}

/// Width between 10 and 90 % of a step from 0 to 1 at the middle of the raster, in mm; across or along.
double edge_width(Millimetres creep, const BlankRaster& raster, bool across) {
    Plane step(raster.rows, raster.columns, 0.0);
    for (int r = 0; r < raster.rows; ++r)
        for (int c = 0; c < raster.columns; ++c)
            step(r, c) = (across ? 2 * c >= raster.columns : 2 * r >= raster.rows) ? 1.0 : 0.0;
    const RasterBlur blur = creep_blur(creep, raster);
    const Plane soft = blurred(step, blur.sigma_x, blur.sigma_y);
    const double length = across ? raster.columns : raster.rows;
    const auto crossing = [&](double level) {
        double x = 0.5;
        while (x < length && (across ? at(soft, x, raster.rows / 2.0) : at(soft, raster.columns / 2.0, x)) < level)
            x += 1e-3;
        return x;
    };
    return (crossing(0.9) - crossing(0.1)) * (across ? raster.mm_per_column : raster.mm_per_row);
}

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("a creep of 2 mm makes a sharp edge 2 mm wide between 10 and 90 percent") {
        constexpr double kWithin = 0.05;
        BlankLayout layout;
        layout.rows = 100;
        for (const int pixels : {8, 16})
            for (const double creep : {2.0, 4.0, 10.0}) {
                CAPTURE(pixels);
                CAPTURE(creep);
                const BlankRaster raster = blank_raster(layout, pixels);
                CHECK(std::abs(edge_width({creep}, raster, true) / creep - 1) < kWithin);
                CHECK(std::abs(edge_width({creep}, raster, false) / creep - 1) < kWithin);
            }
        CHECK(creep_blur({0.0}, blank_raster(layout)).sigma_x == 0);
    }

    TEST_CASE("seen yarn takes the paint, the rest as far as it went through") {
        // D = 0.3 x 1.7 + 0.4 (1 - 0.51) = 0.706
        check_colour(seen_as(pictured(), 0.3), {0.7118, 0.3176, 0.2764}, kHandFigure);
        // Nothing seen: D = 0.4
        check_colour(seen_as(pictured(), 0.0), {0.62, 0.44, 0.46}, kHandFigure);
        // Half the surface: D = 0.85 + 0.4 x 0.15 = 0.91
        check_colour(seen_as(pictured(), 0.5), {0.773, 0.236, 0.154}, kHandFigure);
        // Paint goes round no further than once: 0.6 x 1.7 = 1.02
        check_colour(seen_as(pictured(), 0.6), {0.8, 0.2, 0.1}, kRounding);
    }

    TEST_CASE("without wrap and penetration just what is seen is dyed") {
        Paint paint = pictured();
        paint.wrap = 0;
        paint.penetration = 0;
        check_colour(seen_as(paint, 0.25), {0.575, 0.5, 0.55}, kRounding);
        check_colour(seen_as(paint, 0.0), {0.5, 0.6, 0.7}, kRounding);
        paint.penetration = 1;
        for (const double share : {0.0, 0.1, 0.5}) check_colour(seen_as(paint, share), {0.8, 0.2, 0.1}, kRounding);
    }

    TEST_CASE("with both sides painted each side colours what it shows") {
        // 0.51 front, 0.17 back, of the other 0.32 four tenths half and half, six tenths ground.
        check_colour(seen_as(two_sided(), 0.3, 0.1), {0.602, 0.3236, 0.3322}, kHandFigure);
        // 0.85 and 0.85: no more than the whole thread, half each.
        check_colour(seen_as(two_sided(), 0.5, 0.5), {0.5, 0.3, 0.35}, kHandFigure);
        check_colour(seen_as(two_sided(), 0.6, 0.0), {0.8, 0.2, 0.1}, kRounding);
        check_colour(seen_as(two_sided(), 0.0, 0.6), {0.2, 0.4, 0.6}, kRounding);
    }

    TEST_CASE("layers lie inside each other, each as deep as it went") {
        // v = 0.3: 0.51 is open, the deep layer reaches 0.706, the shallow one 0.51 + 0.1 x 0.49 = 0.559.
        // R of K/S by R = 1 + K/S - sqrt((K/S)^2 + 2 K/S) [Kubelka 1931]: 1.25 -> 0.234436, 1.0 -> 0.267949, 2.0 ->
        // 0.171573. Deep layer of K/S 1: 0.294 x 0.5 + 0.147 x 0.234436 + 0.559 x 0.171573.
        const double deep_first = seen_as(layered({layer(1.0, 0.4), layer(0.75, 0.1)}), 0.3).g;
        CHECK(std::abs(deep_first - 0.277371) < kHandFigure);
        // In which order they were put on makes no difference to dyes that add.
        CHECK(std::abs(seen_as(layered({layer(0.75, 0.1), layer(1.0, 0.4)}), 0.3).g - deep_first) < kRounding);
        // Deep layer of K/S 0.75: 0.294 x 0.5 + 0.147 x 0.267949 + 0.559 x 0.171573.
        CHECK(std::abs(seen_as(layered({layer(1.0, 0.1), layer(0.75, 0.4)}), 0.3).g - 0.282298) < kHandFigure);
        // Equally deep: 0.294 x 0.5 + 0.706 x 0.171573.
        CHECK(std::abs(seen_as(layered({layer(1.0, 0.4), layer(0.75, 0.4)}), 0.3).g - 0.268130) < kHandFigure);
    }

    TEST_CASE("dyes on an open spot add in K over S") {
        // Published: R = 20 % is K/S = 1.6 (a textile article on colour matching); 0.25 of the ground + 1 + 0.35.
        constexpr double kPublished = 1e-9;
        CHECK(std::abs(seen_as(layered({layer(1.0, 0.4), layer(0.35, 0.1)}), 0.6).g - 0.2) < kPublished);
        // Half as much of a dye adds half as much.
        CHECK(std::abs(seen_as(layered({layer(2.0, 0.4, 0.5), layer(3.5, 0.1, 0.1)}), 0.6).g - 0.2) < kPublished);
        // Where both go right through the thread, its hidden side too.
        CHECK(std::abs(seen_as(layered({layer(1.0, 1.0), layer(0.35, 1.0)}), 0.0).g - 0.2) < kPublished);
    }

    TEST_CASE("a ground that takes no second dye passes as it is") {
        for (const double value : {0.0, 0.003, 0.5, 1.0})
            for (const double share : {0.0, 0.3, 0.6}) {
                Paint paint = layered({layer(1.0, 0.4, 0.0), layer(2.0, 1.0, 0.0)});
                paint.ground = Image(1, 1, LinearRgb{value, value, value});
                CHECK(seen_as(paint, share).g == value);
                paint.layers.clear();
                CHECK(seen_as(paint, share).g == value);
            }
    }

    TEST_CASE("flecks inside a layer show the bath, unclamped") {
        Paint paint = layered({layer(1.0, 0.0)});
        paint.ground = Image(1, 1, LinearRgb{1, 1, 1});
        CHECK(seen_as(paint, 0.0).g == 1);
        paint.wrap = 0;
        // Half dyed: 0.5 x 1 and 0.5 x R(1 + K/S of the clamped 0.98), K/S = 0.02^2 / 1.96 = 0.000204082.
        const double k = 1 + 0.0004 / 1.96;
        CHECK(seen_as(paint, 0.5).g == doctest::Approx(0.5 + 0.5 * (1 + k - std::sqrt(k * k + 2 * k))).epsilon(1e-12));
    }

    TEST_CASE("the paint is looked up where it lies") {
        Paint paint = one_spot();
        paint.raster = {3, 4, 2.0, 5.0};
        paint.penetration = 1;
        paint.picture = Image(3, 4);
        for (int r = 0; r < 3; ++r)
            for (int c = 0; c < 4; ++c) (*paint.picture)(r, c) = {0.1 * r, 0.1 * c, 0};
        check_colour(yarn_colour(paint, 5, 12.5, {0.3, 0}), {0.2, 0.2, 0}, kRounding);
        check_colour(yarn_colour(paint, 4, 10, {0.3, 0}), {0.15, 0.15, 0}, kRounding);
        check_colour(yarn_colour(paint, -9, 99, {0.3, 0}), {0.2, 0.0, 0}, kRounding);  // held constant beyond the edge
    }
}
