#include "loopread/contrast/knitted.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "loopread/blank/design_picture.h"
#include "loopread/loop/interlacing.h"
#include "loopread/overdye/strengths.h"
#include "loopread/unravel/unravelled.h"

using namespace loopread;

namespace {

const LinearRgb kUndyed = linear_from_srgb8({0xf3, 0xed, 0xe0}), kBlue = linear_from_srgb8({0x27, 0x4f, 0x9f});

BlankLayout small_layout() {
    BlankLayout layout;
    layout.stitches = 20;
    layout.rows = 40;
    return layout;
}

/// Blue from a wale on, undyed before it.
Paint half_blue(const BlankLayout& layout, double penetration) {
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, kUndyed);
    Plane amount(paint.raster.rows, paint.raster.columns);
    for (int row = 0; row < paint.raster.rows; ++row)
        for (int column = paint.raster.columns / 2; column < paint.raster.columns; ++column) amount(row, column) = 1;
    paint.layers.push_back({"half", amount, dye_of(kBlue, kUndyed), penetration});
    return paint;
}

struct Knitted {
    std::vector<PatchStitch> stitches;
    std::optional<KnittedPair> pair;
    NeighbourPair dyed;
};
Knitted knitted_up(const Paint& paint, const BlankLayout& layout, double yarn_per_stitch_mm) {
    const DrawnShape drawn =
        drawn_shape({layout.wale_spacing / layout.course_spacing, layout.loop_length / layout.wale_spacing});
    const auto strands = unravelled(layout, paint, drawn.shape, CellShares(drawn.shape, layout.strands), {});
    const Image picture = design_picture(paint, paint.raster.rows);
    const Patches patches = patches_of(picture, 8, 1);
    const auto points = border_points(picture, patches, kLostUnder);
    const auto pairs = neighbour_pairs(points, patches, kLostUnder);
    REQUIRE(pairs.size() == 1);
    Knitted found;
    found.dyed = pairs[0];
    found.stitches = patch_stitches({strands, layout, drawn.shape, yarn_per_stitch_mm}, patches, paint.raster);
    found.pair = knitted_pair(found.stitches, points, pairs[0]);
    return found;
}

}  // namespace

TEST_SUITE("contrast") {
    TEST_CASE("dyed right through, a patch comes out on the stitches as it was dyed") {
        const BlankLayout layout = small_layout();
        const Knitted found = knitted_up(half_blue(layout, 1), layout, 13);
        REQUIRE(found.pair.has_value());
        CHECK(found.pair->lies == KnittedPair::Lies::whole);
        const Lab blue = lab_from_linear(found.pair->darker), undyed = lab_from_linear(found.pair->lighter);
        // yarn just at the border mixes in a little, by interpolation of the paint
        CHECK(std::abs(blue.l - lab_from_linear(kBlue).l) < 0.5);
        CHECK(std::abs(undyed.l - lab_from_linear(kUndyed).l) < 0.5);
    }

    TEST_CASE("the less the dye reaches, the less of the contrast is left on the stitches") {
        const BlankLayout layout = small_layout();
        double before = 1e9;
        for (const double penetration : {1.0, 0.7, 0.4, 0.0}) {
            CAPTURE(penetration);
            const Knitted found = knitted_up(half_blue(layout, penetration), layout, 13);
            REQUIRE(found.pair.has_value());
            const double left = lab_from_linear(found.pair->lighter).l - lab_from_linear(found.pair->darker).l;
            CHECK(left < before);
            CHECK(left > 0);
            before = left;
        }
        CHECK(before < 40);  // of 60 as dyed
    }

    TEST_CASE("stitches count for the patch that holds most of their yarn, both balls") {
        const BlankLayout layout = small_layout();
        const Knitted found = knitted_up(half_blue(layout, 0.4), layout, 13);
        const double stitches = 2 * std::floor(layout.strand_length().value / 13);
        CHECK(static_cast<double>(found.stitches.size()) > 0.9 * stitches);
        const auto blue = std::count_if(found.stitches.begin(), found.stitches.end(),
                                        [&](const PatchStitch& s) { return s.patch == found.dyed.darker; });
        CHECK(static_cast<double>(blue) / static_cast<double>(found.stitches.size()) ==
              doctest::Approx(0.5).epsilon(0.1));
        for (const PatchStitch& stitch : found.stitches) {
            CHECK(stitch.share > 0.5);
            CHECK(stitch.share <= 1 + 1e-9);
        }
    }

    TEST_CASE("only stitches near the common border tell how a pair comes out") {
        NeighbourPair pair;
        pair.darker = 1;
        pair.lighter = 0;
        std::vector<BorderPoint> points(1), elsewhere(1);
        points[0].place = elsewhere[0].place = {100, 100};
        points[0].first = 0;
        points[0].second = 1;
        elsewhere[0].first = 0;
        elsewhere[0].second = 2;
        const std::vector<PatchStitch> stitches{{0, 1, kUndyed, {100, 92}},
                                                {1, 1, kBlue, {100, 110}},
                                                {1, 1, {1, 1, 1}, {100, 180}},   // the same paint, ten stitches off
                                                {0, 1, {0, 0, 0}, {160, 100}}};  // ten rows off
        const auto found = knitted_pair(stitches, points, pair);
        REQUIRE(found.has_value());
        CHECK(found->darker == kBlue);
        CHECK(found->lighter == kUndyed);
        CHECK(found->darker_stitches == 1);
        CHECK_FALSE(knitted_pair(stitches, elsewhere, pair).has_value());
    }

    TEST_CASE("where all stitches mix, those mostly of a colour stand for it, and it is said so") {
        const BlankLayout layout = small_layout();
        const double row_mm = layout.row_yarn().value;
        const Knitted found = knitted_up(half_blue(layout, 0.4), layout, 1.2 * row_mm);
        if (found.pair) CHECK(found.pair->lies == KnittedPair::Lies::most);
        CHECK(std::none_of(found.stitches.begin(), found.stitches.end(),
                           [](const PatchStitch& s) { return s.share >= 1 - 1e-9; }));
    }
}
