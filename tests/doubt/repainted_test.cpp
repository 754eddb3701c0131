#include "loopread/doubt/repainted.h"

#include <doctest/doctest.h>

#include "doubt/painted_blank.h"

using namespace loopread;
using namespace loopread::doubt_test;

namespace {

constexpr double kSummedOtherwise = 1e-12;  // relative: a mean of the same numbers in another order

bool same(const ColourRun& a, const ColourRun& b) {
    if (a.pieces().size() != b.pieces().size()) return false;
    for (std::size_t i = 0; i < a.pieces().size(); ++i) {
        const Piece &p = a.pieces()[i], &q = b.pieces()[i];
        if (p.start_mm != q.start_mm || p.length_mm != q.length_mm || p.course != q.course || p.wale != q.wale ||
            p.part != q.part || !(p.colour == q.colour))
            return false;
    }
    return true;
}

/// A second reading of the same blank as if it had been painted as the draw has it.
void check_as_unravelled(const PaintedBlank& blank, const Draw& draw) {
    PaintedBlank other = blank;
    other.paint.wrap = draw.wrap;
    for (DyeLayer& layer : other.paint.layers)
        if (layer.penetration == blank.paint.penetration) layer.penetration = draw.penetration;
    other.paint.penetration = draw.penetration;
    const std::vector<ColourRun> expected = other.strands(draw.winding);
    const RepaintedBlank repainted = blank.repainted();
    REQUIRE(repainted.strands() == static_cast<int>(expected.size()));
    for (std::size_t s = 0; s < expected.size(); ++s)
        CHECK(same(repainted.strand(static_cast<int>(s), draw), expected[s]));
    if (expected.size() < 2) return;
    const double pair =
        pair_difference(other.layout, other.paint, other.shape, other.shares, draw.winding, repainted.course_step())
            .mean_de00;
    for (const int strand : {0, 1})
        CHECK(repainted.pair_mean_de00(repainted.strand(strand, draw), strand, draw) ==
              doctest::Approx(pair).epsilon(kSummedOtherwise));
}

const Draw kOther{0.45, 0.7, {{60}, {45}, 9}, 1};

PaintedBlank layered(int strands) {
    PaintedBlank blank = bars(strands);
    blank.paint.picture.reset();
    blank.paint.ground = Image(2, 1, linear_from_srgb8({0x86, 0xb9, 0xc6}));
    blank.paint.ground(1, 0) = linear_from_srgb8(kUndyedWool);
    for (const double penetration : {0.4, 0.15, 0.4}) {
        Plane amount(blank.paint.raster.rows, blank.paint.raster.columns);
        for (int r = 0; r < amount.rows(); ++r)
            for (int c = 0; c < amount.columns(); ++c)
                amount(r, c) = (c / 20 + r / 50) % 3 == 0 ? 0.2 + 2 * penetration : 0.0;
        blank.paint.layers.push_back({"buoys", std::move(amount), {1.5 * penetration, 0.4, 0.9}, penetration});
    }
    return blank;
}

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("a blank painted anew unravels as if it had been painted so, to the bit") {
        for (const int strands : {1, 2}) {
            CAPTURE(strands);
            check_as_unravelled(bars(strands), {});
            check_as_unravelled(bars(strands), kOther);
            check_as_unravelled(layered(strands), {});
            check_as_unravelled(layered(strands), kOther);
            PaintedBlank alike = layered(strands);
            for (DyeLayer& layer : alike.paint.layers) layer.penetration = alike.paint.penetration;
            check_as_unravelled(alike, kOther);
        }
    }

    TEST_CASE("so does a tube, a blank painted on its back, and one with both sides known") {
        PaintedBlank tube = bars(2);
        tube.layout.construction = Construction::tube;
        check_as_unravelled(tube, kOther);
        PaintedBlank back = bars(2);
        back.layout.painted = Painted::back;
        back.layout.tail = Tail::right;
        check_as_unravelled(back, kOther);
        PaintedBlank both = bars(2);
        both.paint.other_side = mirrored(*both.paint.picture);
        check_as_unravelled(both, kOther);
    }

    TEST_CASE("a layer with a penetration of its own keeps it, and where all have one, none is drawn") {
        PaintedBlank blank = layered(1);
        CHECK(blank.repainted().penetration_counts());
        for (DyeLayer& layer : blank.paint.layers) layer.penetration = 0.2;
        const RepaintedBlank repainted = blank.repainted();
        CHECK_FALSE(repainted.penetration_counts());
        Draw deep;
        deep.penetration = 0.9;
        CHECK(same(repainted.strand(0, {}), repainted.strand(0, deep)));
        CHECK(bars().repainted().penetration_counts());
    }
}
