#include "loopread/unravel/unravelled.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "loopread/base/random.h"
#include "loopread/colour/difference.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-12;  // shares that add to 1 leave a rounding or two
constexpr double kRelative = 1e-9;   // of some 10,000 lengths added up

const LoopShape& usual_shape() {
    static const LoopShape shape{LoopProportions{}};
    return shape;
}

const CellShares& shares_of(int strands) {
    static const CellShares one(usual_shape(), 1), two(usual_shape(), 2);
    return strands == 1 ? one : two;
}

std::vector<ColourRun> strands_of(const BlankLayout& layout, const Paint& paint) {
    return unravelled(layout, paint, usual_shape(), shares_of(layout.strands), WindingOptions{});
}

BlankLayout small_blank(int stitches, int rows, Construction construction = Construction::flat) {
    BlankLayout layout;
    layout.stitches = stitches;
    layout.rows = rows;
    layout.construction = construction;
    return layout;
}

Image random_design(int rows, int columns) {
    Random random(11);
    Image picture(rows, columns);
    for (LinearRgb& pixel : picture) pixel = {random.uniform(), random.uniform(), random.uniform()};
    return picture;
}

Paint painted(const BlankLayout& layout, const Image& picture, double penetration) {
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, LinearRgb{0.9, 0.85, 0.75});
    paint.picture = laid(picture, Lay{}, layout, paint.raster);
    paint.penetration = penetration;
    return paint;
}

double largest_difference(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

double largest_difference(const ColourRun& a, const ColourRun& b) {
    REQUIRE(a.pieces().size() == b.pieces().size());
    double largest = 0;
    for (std::size_t i = 0; i < a.pieces().size(); ++i)
        largest = std::max(largest, largest_difference(a.pieces()[i].colour, b.pieces()[i].colour));
    return largest;
}

double largest_difference(const ColourRun& run, LinearRgb colour) {
    double largest = 0;
    for (const Piece& piece : run.pieces()) largest = std::max(largest, largest_difference(piece.colour, colour));
    return largest;
}

constexpr LinearRgb kBath{0.05, 0.2, 0.4};

/// A dipped blank and stencils with nothing in them.
Paint dipped(const BlankLayout& layout, int empty_stencils) {
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, kBath);
    for (int i = 0; i < empty_stencils; ++i)
        paint.layers.push_back({"empty", Plane(paint.raster.rows, paint.raster.columns, 0.0), {2, 1, 0.5}, 0.4});
    return paint;
}

/// Mean distance, in stitches and rows, between a stitch's middle and where its legs read the ramp.
struct ReadBack {
    double across = 0, along = 0;
};

/// Red rises from 0 to 1 across the picture, green along it, evenly in linear light.
Image ramps(int rows, int columns) {
    Image picture(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) picture(r, c) = {(c + 0.5) / columns, (r + 0.5) / rows, 0};
    return picture;
}

ReadBack read_back(const BlankLayout& layout) {
    // A picture whose pixels do not fall on the stitches.
    const Paint paint = painted(layout, ramps(641, 137), 1);
    const std::vector<LoopPlace> order = ravel_order(layout);
    ReadBack error;
    const std::vector<Piece> pieces = strands_of(layout, paint).front().pieces();
    for (std::size_t i = 0; i < order.size(); ++i) {
        const LinearRgb legs = (pieces[4 * i + 1].colour + pieces[4 * i + 3].colour) * 0.5;
        error.across += std::abs(legs.r * layout.columns() - (order[i].column + 0.5));
        error.along += std::abs(legs.g * layout.rows - (order[i].course + 0.5));
    }
    const double loops = static_cast<double>(order.size());
    return {error.across / loops, error.along / loops};
}

}  // namespace

TEST_SUITE("unravel") {
    TEST_CASE("the yarn is as long as stitches by rows by loop") {
        Random random(3);
        for (int i = 0; i < 20; ++i) {
            BlankLayout layout =
                small_blank(1 + static_cast<int>(random.uniform() * 30), 1 + static_cast<int>(random.uniform() * 30),
                            random.uniform() < 0.5 ? Construction::flat : Construction::tube);
            layout.strands = random.uniform() < 0.5 ? 1 : 2;
            layout.loop_length = Millimetres{15 + 10 * random.uniform()};
            const double expected = layout.loop_length.value * layout.stitches * layout.rows;
            const std::vector<ColourRun> strands = strands_of(layout, painted(layout, random_design(4, 4), 0.4));
            CHECK(strands.size() == static_cast<std::size_t>(layout.strands));
            for (const ColourRun& strand : strands) {
                CHECK(std::abs(strand.length_mm() - expected) < kRelative * expected);
                CHECK(strand.pieces().size() ==
                      4 * static_cast<std::size_t>(layout.stitches) * static_cast<std::size_t>(layout.rows));
            }
        }
    }

    TEST_CASE("a loop is 29, 21, 29 and 21 parts of its yarn") {
        // Split at the widest points of the arcs of [Crane 2023] Eq. 1.
        const BlankLayout layout = small_blank(3, 2);
        const ColourRun strand = strands_of(layout, painted(layout, random_design(2, 2), 0.4)).front();
        constexpr double kShare[] = {0.29, 0.21, 0.29, 0.21};
        for (std::size_t i = 0; i < strand.pieces().size(); ++i)
            CHECK(std::abs(strand.pieces()[i].length_mm - kShare[i % 4] * layout.loop_length.value) <
                  kRelative * layout.loop_length.value);
    }

    TEST_CASE("one colour in, one colour out, where dye goes through") {
        const LinearRgb red{0.6, 0.05, 0.08};
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const Painted side : {Painted::face, Painted::back}) {
                BlankLayout layout = small_blank(9, 12, construction);
                layout.painted = side;
                for (const ColourRun& strand : strands_of(layout, painted(layout, Image(1, 1, red), 1)))
                    CHECK(largest_difference(strand, red) < kRounding);
            }
    }

    TEST_CASE("dyed through, both strands are equal whatever was painted, and only then") {
        for (const Construction construction : {Construction::flat, Construction::tube}) {
            const BlankLayout layout = small_blank(12, 15, construction);
            const Image design = random_design(60, 40);
            const std::vector<ColourRun> through = strands_of(layout, painted(layout, design, 1));
            CHECK(largest_difference(through[0], through[1]) < kRounding);
            const std::vector<ColourRun> speckled = strands_of(layout, painted(layout, design, 0.4));
            CHECK(largest_difference(speckled[0], speckled[1]) > 0.05);
        }
    }

    TEST_CASE("layers of dye that go through leave both strands equal") {
        const BlankLayout layout = small_blank(12, 15);
        Paint paint = dipped(layout, 0);
        Random random(12);
        for (int i = 0; i < 3; ++i) {
            Plane amount(paint.raster.rows, paint.raster.columns);
            for (double& value : amount) value = random.uniform();
            paint.layers.push_back({"random", amount, {random.uniform(), random.uniform(), random.uniform()}, 1.0});
        }
        const std::vector<ColourRun> strands = strands_of(layout, paint);
        CHECK(largest_difference(strands[0], strands[1]) < kRounding);
        CHECK(largest_difference(strands[0], kBath) > 0.01);
    }

    TEST_CASE("a wholly dipped blank has no pale fleck on either ball") {
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const int stencils : {0, 1, 3}) {
                const BlankLayout layout = small_blank(10, 12, construction);
                for (const ColourRun& strand : strands_of(layout, dipped(layout, stencils)))
                    CHECK(largest_difference(strand, kBath) == 0);
            }
    }

    TEST_CASE("a dipped picture with its own ground has no fleck either") {
        const BlankLayout layout = small_blank(10, 12);
        Paint paint = painted(layout, ramps(30, 20), 0.0);
        paint.ground = *paint.picture;
        const std::vector<ColourRun> seen = strands_of(layout, paint);
        paint.penetration = 1;
        const std::vector<ColourRun> through = strands_of(layout, paint);
        for (std::size_t s = 0; s < 2; ++s) CHECK(largest_difference(seen[s], through[s]) < kRounding);
    }

    TEST_CASE("a fleck shows what the yarn was before") {
        const BlankLayout layout = small_blank(10, 12);
        const LinearRgb paint{0.6, 0.05, 0.08}, ground{0.9, 0.85, 0.75};  // ground as painted() has it
        for (const ColourRun& strand : strands_of(layout, painted(layout, Image(1, 1, paint), 0.0)))
            for (const Piece& piece : strand.pieces()) {
                const double dyed = (ground.r - piece.colour.r) / (ground.r - paint.r);
                REQUIRE(dyed > -kRounding);
                REQUIRE(dyed < 1 + kRounding);
                REQUIRE(largest_difference(piece.colour, mixed(ground, paint, dyed)) < kRounding);
            }
    }

    TEST_CASE("a ramp across and along is read back within a tenth of a stitch") {
        constexpr double kTenth = 0.1;
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const Tail tail : {Tail::left, Tail::right})
                for (const Painted side : {Painted::face, Painted::back}) {
                    BlankLayout layout = small_blank(46, 214, construction);
                    layout.strands = 1;
                    layout.tail = tail;
                    layout.painted = side;
                    const ReadBack error = read_back(layout);
                    CHECK(error.across < kTenth);
                    CHECK(error.along < kTenth);
                }
    }

    TEST_CASE("paint on the knit side lands on the legs, on the purl side on the arcs") {
        // What shows on the face is mostly legs, on the back mostly arcs [Crane 2023], own reckoning of its curve.
        for (const Painted side : {Painted::face, Painted::back}) {
            BlankLayout layout = small_blank(10, 12);
            layout.painted = side;
            Paint paint = painted(layout, Image(1, 1, LinearRgb{0, 0, 0}), 0.0);
            paint.ground = Image(1, 1, LinearRgb{1, 1, 1});
            double legs = 0, arcs = 0;
            for (const ColourRun& strand : strands_of(layout, paint))
                for (const Piece& piece : strand.pieces())
                    (piece.part == Part::leg1 || piece.part == Part::leg2 ? legs : arcs) += 1 - piece.colour.g;
            CHECK((legs > arcs) == (side == Painted::face));
        }
    }

    TEST_CASE("the difference of a pair is the mean over its pieces") {
        const LinearRgb red{0.6, 0.05, 0.08}, blue{0.05, 0.08, 0.6};
        std::vector<Piece> a, b;
        for (int i = 0; i < 100; ++i) {
            a.push_back({static_cast<double>(i), 1, 0, i, Part::leg1, red});
            b.push_back({static_cast<double>(i), 1, 0, i, Part::leg1, i < 90 ? red : blue});
        }
        const double apart = delta_e_2000(lab_from_linear(red), lab_from_linear(blue));
        const PairDifference difference = pair_difference(ColourRun(a), ColourRun(b));
        CHECK(difference.mean_de00 == doctest::Approx(apart / 10).epsilon(1e-12));
        CHECK(difference.p95_de00 == doctest::Approx(apart).epsilon(1e-12));
    }
}
