#include "loopread/contrast/remedy.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/blank/design_picture.h"
#include "loopread/overdye/ground.h"
#include "loopread/overdye/strengths.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;
const LinearRgb kUndyed = linear_from_srgb8({0xf3, 0xed, 0xe0}), kTeal = linear_from_srgb8({0x43, 0x98, 0x9f});
const LinearRgb kRed = linear_from_srgb8({0xb8, 0x27, 0x2d});
const BlankRaster kRaster{.rows = 200, .columns = 120, .mm_per_column = 0.65, .mm_per_row = 0.65};

/// Teal bath, a square of so much red.
Paint square(double strength) {
    Paint paint;
    paint.raster = kRaster;
    paint.ground = Image(1, 1, kTeal);
    Plane amount(kRaster.rows, kRaster.columns);
    for (int row = 50; row < 150; ++row)
        for (int column = 30; column < 90; ++column) amount(row, column) = strength;
    paint.layers.push_back({"square", amount, dye_of(kRed, kUndyed), 0.4});
    return paint;
}

struct Edge {
    Patches patches;
    std::vector<BorderPoint> points;
    NeighbourPair pair;
};
Edge edge_of(const Paint& paint) {
    const Image picture = design_picture(paint, paint.raster.rows);
    Edge edge{patches_of(picture, 8, 1), {}, {}};
    edge.points = border_points(picture, edge.patches, kLostUnder);
    const auto pairs = neighbour_pairs(edge.points, edge.patches, kLostUnder);
    REQUIRE(pairs.size() == 1);
    edge.pair = pairs[0];
    return edge;
}

}  // namespace

TEST_SUITE("contrast") {
    TEST_CASE("two steps darker is four times the dye, told from the layer's own K/S") {
        const Paint paint = square(0.02);
        const Edge edge = edge_of(paint);
        REQUIRE(edge.pair.verdict == PairVerdict::lost);
        const auto found = layered_remedies(paint, kUndyed, edge.points, edge.pair, kLostUnder);
        REQUIRE(found.has_value());
        CHECK(found->layer == 0);
        REQUIRE(found->remedies.size() == 3);
        const LinearRgb stronger = overdyed(kTeal, dye_of(kRed, kUndyed), 0.08);
        CHECK(found->remedies[0].darker.g == doctest::Approx(stronger.g).epsilon(kRounding));
        CHECK(found->remedies[0].lighter.g == doctest::Approx(kTeal.g).epsilon(kRounding));
        CHECK(found->remedies[0].apart.delta_l ==
              doctest::Approx(lab_from_linear(kTeal).l - lab_from_linear(stronger).l).epsilon(1e-6));
        CHECK(found->remedies[0].apart.delta_l > found->now.delta_l);
    }

    TEST_CASE("the ground at half strength has half its dye over undyed yarn, under the motif as well") {
        const Paint paint = square(0.02);
        const Edge edge = edge_of(paint);
        const auto found = layered_remedies(paint, kUndyed, edge.points, edge.pair, kLostUnder);
        REQUIRE(found.has_value());
        const LinearRgb half = overdyed(kUndyed, dye_of(kTeal, kUndyed), 0.5);
        CHECK(found->remedies[1].lighter.r == doctest::Approx(half.r).epsilon(kRounding));
        CHECK(found->remedies[1].darker.r ==
              doctest::Approx(overdyed(half, dye_of(kRed, kUndyed), 0.02).r).epsilon(kRounding));
        CHECK(found->remedies[2].apart.delta_l > found->remedies[0].apart.delta_l);
    }

    TEST_CASE("a flat picture's remedies are those of the layers it came from") {
        const Paint paint = square(0.05);
        const Edge edge = edge_of(paint);
        const auto layers = layered_remedies(paint, kUndyed, edge.points, edge.pair, kLostUnder);
        REQUIRE(layers.has_value());
        const auto flat = remedies({overdyed(kTeal, dye_of(kRed, kUndyed), 0.05), kTeal, kUndyed}, kLostUnder);
        REQUIRE(flat.size() == 3);
        for (std::size_t i = 0; i < 3; ++i) {
            CHECK(flat[i].change == layers->remedies[i].change);
            // the dye lightens no channel here, or the flat reading would have to leave that out
            CHECK(std::abs(flat[i].apart.delta_l - layers->remedies[i].apart.delta_l) < 0.05);
        }
    }

    TEST_CASE("a design dyed as a remedy says comes out as it says, in layers and as one picture") {
        const Paint paint = square(0.05);
        const Edge edge = edge_of(paint);
        const auto found = layered_remedies(paint, kUndyed, edge.points, edge.pair, kLostUnder);
        REQUIRE(found.has_value());
        const Paint darker = changed(paint, DyeChange::stencil_darker, 0, kUndyed);
        const LinearRgb inside = design_picture(darker, kRaster.rows)(100, 60);
        CHECK(inside.g == doctest::Approx(found->remedies[0].darker.g).epsilon(kRounding));
        const Image flat = recoloured(design_picture(paint, kRaster.rows), edge.patches, edge.pair, found->remedies[2]);
        CHECK(flat(100, 60).g == doctest::Approx(found->remedies[2].darker.g).epsilon(1e-6));
        CHECK(flat(5, 5).g == doctest::Approx(found->remedies[2].lighter.g).epsilon(1e-6));
    }

    TEST_CASE("where no layer sets two colours apart there is nothing to strengthen") {
        Paint paint = square(0.05);
        paint.layers[0].amount = Plane(kRaster.rows, kRaster.columns);  // the two colours are the bath's own
        paint.ground = Image(kRaster.rows, kRaster.columns, kTeal);
        for (int row = 0; row < 100; ++row)
            for (int column = 0; column < kRaster.columns; ++column) paint.ground(row, column) = kRed;
        const Edge edge = edge_of(paint);
        CHECK_FALSE(layered_remedies(paint, kUndyed, edge.points, edge.pair, kLostUnder).has_value());
    }
}
