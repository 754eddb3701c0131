#include "loopread/dye/areas.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/unravel/unravelled.h"

using namespace loopread;

namespace {

constexpr double kRelative = 1e-9;  // of some 10,000 lengths added up in another order

const LoopShape& usual_shape() {
    static const LoopShape shape{LoopProportions{}};
    return shape;
}

const CellShares& shares_of(int strands) {
    static const CellShares one(usual_shape(), 1), two(usual_shape(), 2);
    return strands == 1 ? one : two;
}

BlankLayout small_blank(int strands = 2, Construction construction = Construction::flat) {
    BlankLayout layout;
    layout.stitches = 16;
    layout.rows = 40;
    layout.strands = strands;
    layout.construction = construction;
    return layout;
}

Paint unpainted(const BlankLayout& layout) {
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, LinearRgb{1, 1, 1});
    return paint;
}

Plane plane_of(const BlankRaster& raster, auto value) {
    Plane plane(raster.rows, raster.columns, 0.0);
    for (int r = 0; r < raster.rows; ++r)
        for (int c = 0; c < raster.columns; ++c) plane(r, c) = value(r, c);
    return plane;
}

Plane blots(const BlankRaster& raster, std::uint64_t seed) {
    return plane_of(raster, [&](int r, int c) { return hashed_unit(seed, r / 9, c / 7) < 0.4 ? 1.0 : 0.0; });
}

std::vector<AreaShare> areas(const BlankLayout& layout, const Paint& paint, const std::vector<double>& strengths) {
    return painted_areas(layout, paint, usual_shape(), shares_of(layout.strands), WindingOptions{}, strengths);
}

/// Dyed share of each strand by the long way: black paint on white yarn, unravelled; what the light lost is dyed.
std::vector<double> dyed_by_light(const BlankLayout& layout, const Plane& mask, double penetration) {
    Paint paint = unpainted(layout);
    paint.penetration = penetration;
    paint.picture = Image(mask.rows(), mask.columns());
    for (int r = 0; r < mask.rows(); ++r)
        for (int c = 0; c < mask.columns(); ++c) {
            const double light = 1 - mask(r, c);
            (*paint.picture)(r, c) = {light, light, light};
        }
    std::vector<double> dyed;
    for (const ColourRun& run : unravelled(layout, paint, usual_shape(), shares_of(layout.strands), WindingOptions{}))
        dyed.push_back(1 - run.mean(0, run.length_mm()).g);
    return dyed;
}

constexpr KOverS kSomeDye{1, 1, 1};

}  // namespace

TEST_SUITE("dye") {
    TEST_CASE("the dyed share is what the yarn itself lost in light when it was painted black") {
        for (const auto& layout : {small_blank(1), small_blank(2), small_blank(2, Construction::tube)})
            for (const double penetration : {0.0, 0.4, 0.9}) {
                CAPTURE(penetration);
                CAPTURE(layout.strands);
                Paint paint = unpainted(layout);
                const Plane mask = blots(paint.raster, 3);
                paint.layers = {{"blots", mask, kSomeDye, penetration}};
                const AreaShare area = areas(layout, paint, {1}).front();
                const std::vector<double> slow = dyed_by_light(layout, mask, penetration);
                double mean = 0;
                for (std::size_t s = 0; s < slow.size(); ++s) {
                    CHECK(std::abs(area.dyed_strand[s] - slow[s]) < kRelative);
                    mean += slow[s] / static_cast<double>(slow.size());
                }
                CHECK(std::abs(area.dyed - mean) < kRelative);
                CHECK(area.dyed > 0.01);
                CHECK(area.dyed < area.covered);
            }
    }

    TEST_CASE("a stencil over everything that dyes right through takes all of the fibre") {
        const BlankLayout layout = small_blank();
        Paint paint = unpainted(layout);
        paint.layers = {{"all", plane_of(paint.raster, [](int, int) { return 1.0; }), kSomeDye, 1.0}};
        const AreaShare area = areas(layout, paint, {1}).front();
        CHECK(area.covered == doctest::Approx(1).epsilon(kRelative));
        CHECK(area.dyed == doctest::Approx(1).epsilon(kRelative));
    }

    TEST_CASE("areas that share a blank out between them add up to a stencil over all of it") {
        const BlankLayout layout = small_blank();
        Paint paint = unpainted(layout);
        const Plane part = blots(paint.raster, 8);
        const Plane rest = plane_of(paint.raster, [&](int r, int c) { return 1 - part(r, c); });
        const Plane all = plane_of(paint.raster, [](int, int) { return 1.0; });
        paint.layers = {{"part", part, kSomeDye, 0.4}, {"rest", rest, kSomeDye, 0.4}, {"all", all, kSomeDye, 0.4}};
        const std::vector<AreaShare> found = areas(layout, paint, {1, 1, 1});
        CHECK(found[0].dyed + found[1].dyed == doctest::Approx(found[2].dyed).epsilon(kRelative));
        CHECK(found[0].covered + found[1].covered == doctest::Approx(1).epsilon(kRelative));
    }

    TEST_CASE("covered yarn follows the area of a stencil") {
        // Beyond the blank's edges the picture is held, and arcs reach into the next row: a row at either end
        const BlankLayout layout = small_blank();
        Paint paint = unpainted(layout);
        const int rows = paint.raster.rows;
        for (const double share : {0.25, 0.5, 0.75})
            paint.layers.push_back(
                {"band", plane_of(paint.raster, [&](int r, int) { return r < share * rows ? 1 : 0; }), kSomeDye, 0.4});
        const double kRow = 1.0 / layout.rows;
        const std::vector<AreaShare> found = areas(layout, paint, {1, 1, 1});
        CHECK(std::abs(found[0].covered - 0.25) < kRow);
        CHECK(std::abs(found[1].covered - 0.5) < kRow);
        CHECK(std::abs(found[2].covered - 0.75) < kRow);
    }

    TEST_CASE("a layer's strength thins its dye, not its area") {
        const BlankLayout layout = small_blank();
        Paint paint = unpainted(layout);
        const Plane mask = blots(paint.raster, 5);
        const Plane half = plane_of(paint.raster, [&](int r, int c) { return mask(r, c) / 2; });
        paint.layers = {{"full", mask, kSomeDye, 0.4}, {"half", half, kSomeDye, 0.4}, {"none", mask, kSomeDye, 0.4}};
        const std::vector<AreaShare> found = areas(layout, paint, {1, 0.5, 0});
        CHECK(found[1].dyed == doctest::Approx(found[0].dyed).epsilon(kRelative));
        CHECK(found[2].dyed == 0);
    }

    TEST_CASE("a flat picture is parted into its colours, the ground left out") {
        const BlankLayout layout = small_blank();
        Paint flat = unpainted(layout);
        constexpr std::array<LinearRgb, 3> kColours{{{1, 1, 1}, {0.6, 0.02, 0.02}, {0.02, 0.05, 0.4}}};
        flat.picture = Image(flat.raster.rows, flat.raster.columns);
        const int rows = flat.raster.rows;
        std::array<int, 3> pixels{};
        for (int r = 0; r < rows; ++r)
            for (int c = 0; c < flat.raster.columns; ++c) {
                const std::size_t one = r < rows / 2 ? 0 : r < rows * 5 / 6 ? 1 : 2;
                (*flat.picture)(r, c) = kColours[one];
                ++pixels[one];
            }
        const ColourAreas parted = colour_areas(flat, 6, 6, 1);
        REQUIRE(parted.paint.layers.size() == 2);
        for (std::size_t i = 0; i < 2; ++i) {
            double sum = 0;
            for (const double amount : parted.paint.layers[i].amount) sum += amount;
            CHECK(sum == pixels[i + 1]);
        }
        CHECK(parted.paint.layers[0].name != parted.paint.layers[1].name);
        CHECK_FALSE(parted.paint.picture);
    }

    TEST_CASE("a picture of nothing but ground has no areas") {
        const BlankLayout layout = small_blank();
        Paint flat = unpainted(layout);
        flat.picture = Image(flat.raster.rows, flat.raster.columns, LinearRgb{1, 1, 1});
        CHECK(colour_areas(flat, 6, 6, 1).paint.layers.empty());
    }
}
