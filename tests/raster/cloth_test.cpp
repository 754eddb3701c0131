#include "loopread/raster/cloth.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "loopread/blank/paint.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/shape/garments.h"
#include "loopread/unravel/unravelled.h"

using namespace loopread;

namespace {

constexpr double kOnePercent = 0.01;  // of light: about the least step an eye sees (common practice, no source)
constexpr double kStitch = 10;        // mm of yarn
constexpr LinearRgb kWhite{0.9, 0.9, 0.9};
constexpr LinearRgb kRed{0.8, 0, 0};
constexpr LinearRgb kGreen{0, 0.6, 0};

const LoopShape& usual_shape() {
    static const LoopShape shape{LoopProportions{}};
    return shape;
}

/// Yarn of so many stitches, one colour a stitch; the last colour for all that follow.
ColourRun run_of_stitches(const std::vector<LinearRgb>& first, int stitches, double stitch_mm = kStitch) {
    std::vector<Piece> pieces;
    for (int i = 0; i < stitches; ++i) {
        Piece piece;
        piece.start_mm = i * stitch_mm;
        piece.length_mm = stitch_mm;
        piece.colour = first[std::min(static_cast<std::size_t>(i), first.size() - 1)];
        pieces.push_back(piece);
    }
    return ColourRun(pieces);
}

Cloth cloth_of(const Garment& garment, const std::vector<LinearRgb>& colours) {
    const ColourRun run = run_of_stitches(colours, static_cast<int>(total_stitches(garment)));
    return fabric_cloth(knitted(run, garment, {kStitch}), run, static_cast<int>(garment.rounds.size()));
}

ClothLook look_of(double pixels, double unevenness, Side side = Side::face) {
    ClothLook look;
    look.pixels_per_stitch = pixels;
    look.unevenness = unevenness;
    look.side = side;
    return look;
}

/// A part of a picture, edges anywhere within pixels.
struct Area {
    double left = 0, right = 0, top = 0, bottom = 0;
};

LinearRgb mean_over(const Image& image, const Area& area) {
    LinearRgb sum;
    double weight = 0;
    for (int y = static_cast<int>(area.top); y < std::min<double>(image.rows(), area.bottom); ++y)
        for (int x = static_cast<int>(area.left); x < std::min<double>(image.columns(), area.right); ++x) {
            const double covered = (std::min(area.right, x + 1.0) - std::max<double>(area.left, x)) *
                                   (std::min(area.bottom, y + 1.0) - std::max<double>(area.top, y));
            sum += image(y, x) * covered;
            weight += covered;
        }
    return sum * (1 / weight);
}

LinearRgb mean_of(const Image& image) {
    return mean_over(image, {0, static_cast<double>(image.columns()), 0, static_cast<double>(image.rows())});
}

/// A place of the picture in loops from its top left.
struct Spot {
    double column = 0, row = 0;
};

double redness(LinearRgb colour) {
    return std::max(0.0, colour.r - std::max(colour.g, colour.b));
}
double greenness(LinearRgb colour) {
    return std::max(0.0, colour.g - std::max(colour.r, colour.b));
}

/// Middle of all that is red, or green, in a picture of cloth.
template <class Weight>
Spot middle_of(const Image& image, const Cloth& cloth, Weight weight) {
    double sum = 0;
    Spot middle;
    for (int y = 0; y < image.rows(); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const double w = weight(image(y, x));
            sum += w;
            middle.column += w * (x + 0.5) / image.columns() * cloth.columns();
            middle.row += w * (y + 0.5) / image.rows() * cloth.rows();
        }
    REQUIRE(sum > 0);
    return {middle.column / sum, middle.row / sum};
}

/// A loop's yarn reaches into the courses next to it, its middle stays within its own place or nearly so.
void check_in_loop(Spot spot, int column, int row) {
    constexpr double kReach = 0.6;  // loops
    CHECK(std::abs(spot.column - (column + 0.5)) < kReach);
    CHECK(std::abs(spot.row - (row + 0.5)) < kReach);
}

/// Mean distance of a colour from a line upright in the picture, in one band of rows.
double spread(const Image& image, double middle, double from_row, double to_row) {
    double sum = 0, weight = 0;
    for (int y = static_cast<int>(std::lround(from_row)); y < static_cast<int>(std::lround(to_row)); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const double w = redness(image(y, x));
            sum += w * std::abs(x + 0.5 - middle);
            weight += w;
        }
    REQUIRE(weight > 0);
    return sum / weight;
}

/// Distance between the visible legs of the repeat's own loop at one height, wale spacings.
double legs_apart(const LoopCell& cell, double y) {
    constexpr int kSteps = 1400;
    double sum[2] = {0, 0};
    int count[2] = {0, 0};
    for (int i = 0; i < kSteps; ++i) {
        const double x = (i + 0.5) / kSteps * 1.4 - 0.7;
        const SeenYarn seen = cell.seen(Side::face, x, y);
        if (seen.outside > 0 || seen.right != 0 || seen.up != 0) continue;
        const int leg = seen.place < 0.5 ? 0 : 1;
        sum[leg] += x;
        ++count[leg];
    }
    REQUIRE(count[0] > 0);
    REQUIRE(count[1] > 0);
    return sum[1] / count[1] - sum[0] / count[0];
}

BlankLayout small_blank(Tail tail, Painted side, Construction construction = Construction::flat) {
    BlankLayout layout;
    layout.stitches = construction == Construction::flat ? 8 : 16;
    layout.rows = 10;
    layout.tail = tail;
    layout.painted = side;
    layout.construction = construction;
    return layout;
}

/// A white blank with a dot of red through and through in its top left corner and one of green in its top right one.
Paint painted_corners(const BlankLayout& layout) {
    Image picture(layout.rows * 4, layout.columns() * 4, kWhite);
    for (int y = 0; y < 8; ++y)
        for (int x = 0; x < 8; ++x) {
            picture(y, x) = kRed;
            picture(y, picture.columns() - 1 - x) = kGreen;
        }
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, kWhite);
    paint.picture = laid(picture, Lay{}, layout, paint.raster);
    paint.penetration = 1;
    return paint;
}

Side side_of(Painted side) {
    return side == Painted::face ? Side::face : Side::back;
}

void check_corners(const BlankLayout& layout) {
    const CellShares shares(usual_shape(), layout.strands);
    const auto strands = unravelled(layout, painted_corners(layout), usual_shape(), shares, WindingOptions{});
    const Cloth cloth = blank_cloth(layout, strands, WindingOptions{});
    CHECK(cloth.rows() == layout.rows);
    CHECK(cloth.columns() == layout.columns());
    const Image image = drawn_cloth(cloth, usual_shape(), look_of(8, 0, side_of(layout.painted)));
    constexpr double kHalfALoop = 0.5;  // the dots are two loops wide and high, their middles one from each edge
    const Spot red = middle_of(image, cloth, redness);
    CHECK(std::abs(red.column - 1) < kHalfALoop);
    CHECK(std::abs(red.row - 1) < kHalfALoop);
    const Spot green = middle_of(image, cloth, greenness);
    CHECK(std::abs(green.column - (layout.columns() - 1)) < kHalfALoop);
    CHECK(std::abs(green.row - 1) < kHalfALoop);
}

/// Yarn whose end that comes off first is red for three loops.
Spot first_off(const BlankLayout& layout) {
    const ColourRun run =
        run_of_stitches({kRed, kRed, kRed, kWhite}, layout.stitches * layout.rows, layout.loop_length.value);
    const std::vector<ColourRun> strands(static_cast<std::size_t>(layout.strands), run);
    const Cloth cloth = blank_cloth(layout, strands, WindingOptions{});
    return middle_of(drawn_cloth(cloth, usual_shape(), look_of(8, 0, side_of(layout.painted))), cloth, redness);
}

/// Largest tile mean over the smallest, tiles of 8 x 8 stitches.
double tile_ratio(const Image& image, const Cloth& cloth) {
    const double stitch = static_cast<double>(image.columns()) / cloth.columns();
    const double row = static_cast<double>(image.rows()) / cloth.rows();
    double least = 1e9, most = 0;
    for (int down = 0; down + 8 <= cloth.rows(); down += 8)
        for (int along = 0; along + 8 <= cloth.columns(); along += 8) {
            const double light =
                mean_over(image, {along * stitch, (along + 8) * stitch, down * row, (down + 8) * row}).g;
            least = std::min(least, light);
            most = std::max(most, light);
        }
    return most / least;
}

}  // namespace

TEST_SUITE("raster") {
    TEST_CASE("the mean colour of drawn cloth is that of its yarn") {
        const LinearRgb colour{0.7, 0.31, 0.05};
        const Cloth cloth = cloth_of(tube(40, 48), {colour});
        for (const Side side : {Side::face, Side::back})
            for (const double unevenness : {0.0, 1.0})
                for (const double pixels : {3.0, 5.3, 12.0, 20.0}) {
                    const LinearRgb mean =
                        mean_of(drawn_cloth(cloth, usual_shape(), look_of(pixels, unevenness, side)));
                    CAPTURE(pixels);
                    CAPTURE(unevenness);
                    CHECK(mean.r == doctest::Approx(colour.r).epsilon(kOnePercent));
                    CHECK(mean.g == doctest::Approx(colour.g).epsilon(kOnePercent));
                    CHECK(mean.b == doctest::Approx(colour.b).epsilon(kOnePercent));
                }
    }

    TEST_CASE("the cloth's height follows from its stitches") {
        const Image image = drawn_cloth(cloth_of(tube(30, 40), {kWhite}), usual_shape(), look_of(10, 1));
        CHECK(image.columns() == 300);
        CHECK(image.rows() == 305);  // 40 x 10 / 1.31 = 305.3
    }

    TEST_CASE("stitch 0 lies at the right and round 0 at the bottom") {
        const Cloth cloth = cloth_of(tube(6, 5), {kRed, kGreen, kWhite});
        const Image image = drawn_cloth(cloth, usual_shape(), look_of(12, 0));
        check_in_loop(middle_of(image, cloth, redness), 5, 4);
        check_in_loop(middle_of(image, cloth, greenness), 4, 4);
    }

    TEST_CASE("a round's yarn goes from right to left, within a stitch too") {
        // The first half of stitch 0 is red, its second half green: its right leg comes first.
        Piece red, green, white;
        red.length_mm = kStitch / 2;
        red.colour = kRed;
        green.start_mm = kStitch / 2;
        green.length_mm = kStitch / 2;
        green.colour = kGreen;
        white.start_mm = kStitch;
        white.length_mm = 29 * kStitch;
        white.colour = kWhite;
        const ColourRun run({red, green, white});
        const Cloth round = fabric_cloth(knitted(run, tube(6, 5), {kStitch}), run, 5);
        const Image seen = drawn_cloth(round, usual_shape(), look_of(12, 0));
        CHECK(middle_of(seen, round, redness).column > middle_of(seen, round, greenness).column);
        CHECK(round.loop(4, 5, 0)[0].g > 0);
        CHECK(round.loop(4, 5, 0)[Cloth::kPlaces - 1].r > 0);
    }

    TEST_CASE("worked back and forth, odd rows run left to right") {
        std::vector<LinearRgb> colours(6, kWhite);
        colours.insert(colours.end(), {kRed, kGreen, kWhite});
        const Cloth cloth = cloth_of(flat(6, 5), colours);
        const Image image = drawn_cloth(cloth, usual_shape(), look_of(12, 0));
        check_in_loop(middle_of(image, cloth, redness), 0, 3);
        check_in_loop(middle_of(image, cloth, greenness), 1, 3);
        // In the round the same yarn begins its second round at the right again.
        const Cloth round = cloth_of(tube(6, 5), colours);
        check_in_loop(middle_of(drawn_cloth(round, usual_shape(), look_of(12, 0)), round, redness), 5, 3);
        // Row 2 runs to the left again.
        std::vector<LinearRgb> third(12, kWhite);
        third.insert(third.end(), {kRed, kGreen, kWhite});
        const Cloth later = cloth_of(flat(6, 5), third);
        check_in_loop(middle_of(drawn_cloth(later, usual_shape(), look_of(12, 0)), later, redness), 5, 2);
    }

    TEST_CASE("only the rounds asked for are drawn, the first ones") {
        const ColourRun run = run_of_stitches({kRed, kWhite}, 30);
        const Fabric fabric = knitted(run, tube(6, 5), {kStitch});
        const Cloth three = fabric_cloth(fabric, run, 3);
        CHECK(three.rows() == 3);
        CHECK(three.loop(2, 5, 0)[6] == kRed);
        CHECK(fabric_cloth(fabric, run, 99).rows() == 5);
    }

    TEST_CASE("where the yarn ran out there is paper, at the left of the last round") {
        const ColourRun run = run_of_stitches({kRed}, 9);
        const Cloth cloth = fabric_cloth(knitted(run, tube(6, 5), {kStitch}), run, 5);
        REQUIRE(cloth.rows() == 2);
        for (int column = 0; column < 6; ++column) {
            CHECK(cloth.worked(1, column));
            CHECK(cloth.worked(0, column) == (column >= 3));
        }
        ClothLook look = look_of(12, 0);
        look.paper = {0, 0, 0.5};
        const Image image = drawn_cloth(cloth, usual_shape(), look);
        CHECK(image(2, 2) == look.paper);
        CHECK(image(2, 69).r > 0);
    }

    TEST_CASE("the legs of a loop are farther apart at its top than at its bottom, seen from the face") {
        const LoopCell cell(usual_shape(), 1, 0);
        const double c = usual_shape().course_spacing();
        const double top = legs_apart(cell, 0.3 * c);
        const double middle = legs_apart(cell, 0);
        const double bottom = legs_apart(cell, -0.3 * c);
        CHECK(top > middle);
        CHECK(middle > bottom);
        CHECK(middle == doctest::Approx(0.5).epsilon(0.02));  // [Crane 2023] Eq. 1: legs at x = -1/4 and 1/4 of a wale
    }

    TEST_CASE("in a drawn picture the V of a stitch opens upwards") {
        Cloth cloth = cloth_of(tube(5, 5), {kWhite});
        std::fill_n(cloth.loop(2, 2, 0), Cloth::kPlaces, kRed);
        const Image image = drawn_cloth(cloth, usual_shape(), look_of(30, 0));
        const double row = image.rows() / 5.0;
        const double middle = image.columns() / 2.0;
        const double top = spread(image, middle, (2 + 0.1) * row, (2 + 0.4) * row);
        const double bottom = spread(image, middle, (2 + 0.6) * row, (2 + 0.9) * row);
        constexpr double kClearly = 1.2;  // chosen: an opening that an eye sees
        CHECK(top > kClearly * bottom);
    }

    TEST_CASE("the purl side shows arcs where the knit side shows legs") {
        // Red legs (.145-.355 and .645-.855 of the yarn), white arcs: the knit side is the redder.
        Cloth cloth = cloth_of(tube(8, 8), {kWhite});
        for (int row = 0; row < 8; ++row)
            for (int column = 0; column < 8; ++column)
                for (const int place : {2, 3, 8, 9}) cloth.loop(row, column, 0)[place] = kRed;
        const double face = redness(mean_of(drawn_cloth(cloth, usual_shape(), look_of(12, 0, Side::face))));
        const double back = redness(mean_of(drawn_cloth(cloth, usual_shape(), look_of(12, 0, Side::back))));
        CHECK(face > 1.5 * back);
    }

    TEST_CASE("a painted corner of a blank comes back at that corner") {
        for (const Tail tail : {Tail::left, Tail::right})
            for (const Painted side : {Painted::face, Painted::back})
                for (const int strands : {1, 2}) {
                    CAPTURE(strands);
                    CAPTURE(tail == Tail::left);
                    CAPTURE(side == Painted::face);
                    BlankLayout layout = small_blank(tail, side);
                    layout.strands = strands;
                    check_corners(layout);
                }
        for (const Tail tail : {Tail::left, Tail::right})
            check_corners(small_blank(tail, Painted::face, Construction::tube));
    }

    TEST_CASE("the end that comes off first hangs in the top course, at the tail's side") {
        for (const Painted side : {Painted::face, Painted::back}) {
            const Spot left = first_off(small_blank(Tail::left, side));
            CHECK(std::abs(left.column - 1.5) < 0.5);
            CHECK(std::abs(left.row - 0.5) < 0.5);
            const Spot right = first_off(small_blank(Tail::right, side));
            CHECK(std::abs(right.column - 6.5) < 0.5);
            CHECK(std::abs(right.row - 0.5) < 0.5);
        }
    }

    TEST_CASE("stitches do not beat with the pixels") {
        const Cloth cloth = cloth_of(tube(64, 64), {kWhite});
        for (const double unevenness : {0.0, 1.0}) {
            CAPTURE(unevenness);
            CHECK(tile_ratio(drawn_cloth(cloth, usual_shape(), look_of(5.3, unevenness)), cloth) < 1 + kOnePercent);
        }
    }

    TEST_CASE("the same seed draws the same bytes, another does not") {
        const Cloth cloth = cloth_of(tube(20, 20), {kRed, kGreen, kWhite});
        ClothLook look = look_of(7, 1);
        const Image first = drawn_cloth(cloth, usual_shape(), look);
        CHECK(drawn_cloth(cloth, usual_shape(), look) == first);
        look.seed = 2;
        CHECK_FALSE(drawn_cloth(cloth, usual_shape(), look) == first);
        CHECK_FALSE(encoded(drawn_cloth(cloth, usual_shape(), look)) == encoded(first));
        // Without unevenness there is nothing for a seed to change.
        look.unevenness = 0;
        const Image even = drawn_cloth(cloth, usual_shape(), look);
        look.seed = 1;
        CHECK(drawn_cloth(cloth, usual_shape(), look) == even);
    }

    TEST_CASE("cloth without loops breaks the contract") {
        CHECK_THROWS_AS(Cloth(0, 5, 1), std::logic_error);
        CHECK_THROWS_AS(Cloth(5, 5, 3), std::logic_error);
        const ColourRun run = run_of_stitches({kWhite}, 10);
        CHECK_THROWS_AS(fabric_cloth(knitted(run, tube(6, 5), {kStitch}), run, 0), std::logic_error);
        CHECK_THROWS_AS(drawn_cloth(Cloth(2, 2, 1), usual_shape(), look_of(0, 0)), std::logic_error);
    }
}
