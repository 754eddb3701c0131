#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "loopread/base/random.h"
#include "loopread/loop/interlacing.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/raster/quick_cloth.h"
#include "loopread/shape/garments.h"

using namespace loopread;

namespace {

// Floats instead of doubles, and light in 4096 steps: where the curve is steepest (12.92 codes of 255 a unit of 1/255)
// a step is 0.8 of a code, so rounding may fall to the next code.
constexpr int kOneCode = 1;

ColourRun speckled_run(double length_mm, std::uint64_t seed) {
    std::vector<Piece> pieces;
    double at = 0;
    for (int i = 0; at < length_mm; ++i) {
        Piece piece;
        piece.start_mm = at;
        piece.length_mm = 2 + 30 * hashed_unit(seed, i, 0);
        piece.colour = {hashed_unit(seed, i, 1), hashed_unit(seed, i, 2), hashed_unit(seed, i, 3)};
        at += piece.length_mm;
        pieces.push_back(piece);
    }
    return ColourRun(std::move(pieces));
}

const LoopShape& loop_shape() {
    static const LoopShape shape = drawn_shape({1.31, 4.199}).shape;
    return shape;
}

struct Difference {
    int most = 0;
    double mean_of_all = 0;  // of the mean colours, in codes
};

Difference difference(const ScreenPicture& quick, const Image& exact) {
    REQUIRE(quick.width == exact.columns());
    REQUIRE(quick.height == exact.rows());
    Difference out;
    double sum[3] = {0, 0, 0};
    std::size_t at = 0;
    for (const LinearRgb& light : exact) {
        const Srgb8 colour = srgb8_from_linear(light);
        const int codes[3] = {colour.r, colour.g, colour.b};
        for (std::size_t c = 0; c < 3; ++c) {
            const int miss = quick.rgba[at + c] - codes[c];
            out.most = std::max(out.most, std::abs(miss));
            sum[c] += miss;
        }
        at += 4;
    }
    for (const double s : sum)
        out.mean_of_all = std::max(out.mean_of_all, std::abs(s) / static_cast<double>(exact.size()));
    return out;
}

/// The slow drawing with every loop alike, at the same whole pixels.
Image slowly_drawn(const Cloth& cloth, const QuickLook& look) {
    ClothLook slow;
    slow.pixels_per_stitch = look.pixels_per_stitch;
    slow.wale_per_course = static_cast<double>(look.pixels_per_stitch) / look.pixels_per_row;
    slow.side = look.side;
    slow.unevenness = 0;
    return drawn_cloth(cloth, loop_shape(), slow);
}

ColourRun plain_run(double length_mm, LinearRgb colour) {
    Piece piece;
    piece.length_mm = length_mm;
    piece.colour = colour;
    return ColourRun({piece});
}

LinearRgb mean_light(const ScreenPicture& picture) {
    LinearRgb sum;
    for (std::size_t i = 0; i < picture.rgba.size(); i += 4)
        sum += linear_from_srgb8({picture.rgba[i], picture.rgba[i + 1], picture.rgba[i + 2]});
    return sum * (4.0 / static_cast<double>(picture.rgba.size()));
}

}  // namespace

TEST_SUITE("raster") {
    TEST_CASE("quick fabric is the slowly drawn fabric, but for rounding to a code") {
        const ColourRun run = speckled_run(30'000, 3);
        constexpr double kYarn = 13.1;
        constexpr int kStitches = 24, kRounds = 20;
        const Fabric fabric = knitted(run, tube(kStitches, kRounds), {kYarn});
        const Cloth cloth = fabric_cloth(fabric, run, kRounds);
        for (const QuickLook& look : {QuickLook{6, 5}, QuickLook{5, 4}, QuickLook{10, 8}, QuickLook{12, 9},
                                      QuickLook{8, 8}, QuickLook{3, 2}, QuickLook{6, 5, Side::back}}) {
            CAPTURE(look.pixels_per_stitch);
            const QuickCloth quick = quick_fabric_cloth(run, {kStitches, kYarn, Worked::in_the_round, 0, kRounds});
            const Difference miss =
                difference(quickly_drawn(quick, QuickStamp(loop_shape(), 1, look)), slowly_drawn(cloth, look));
            CHECK(miss.most <= kOneCode);
            CHECK(miss.mean_of_all < 0.5);
        }
    }

    TEST_CASE("rows that run back are drawn as the slow drawing has them") {
        const ColourRun run = speckled_run(20'000, 5);
        const Fabric fabric = knitted(run, flat(20, 15), {13});
        const Cloth cloth = fabric_cloth(fabric, run, 15);
        const QuickLook look{8, 8};
        const QuickCloth quick = quick_fabric_cloth(run, {20, 13, Worked::back_and_forth, 0, 15});
        CHECK(difference(quickly_drawn(quick, QuickStamp(loop_shape(), 1, look)), slowly_drawn(cloth, look)).most <=
              kOneCode);
    }

    TEST_CASE("rounds from the middle on are those of the whole fabric") {
        const ColourRun run = speckled_run(30'000, 6);
        const QuickStamp stamp(loop_shape(), 1, {6, 5});
        const ScreenPicture all = quickly_drawn(quick_fabric_cloth(run, {16, 13, Worked::in_the_round, 0, 40}), stamp);
        const ScreenPicture part =
            quickly_drawn(quick_fabric_cloth(run, {16, 13, Worked::in_the_round, 10, 20}), stamp);
        // Inside, away from where a round more or less lies beside it.
        const auto line = static_cast<std::size_t>(4 * all.width);
        for (int y = 15; y < 85; ++y) {
            const auto* of_part = part.rgba.data() + static_cast<std::size_t>(y) * line;
            const auto* of_all = all.rgba.data() + static_cast<std::size_t>(y + 50) * line;
            for (std::size_t i = 0; i < line; ++i) REQUIRE(std::abs(of_part[i] - of_all[i]) <= kOneCode);
        }
    }

    TEST_CASE("one colour of yarn gives that colour on the mean at every size") {
        const LinearRgb colour{0.30, 0.12, 0.45};
        const ColourRun run = plain_run(20'000, colour);
        for (const QuickLook& look :
             {QuickLook{1, 1}, QuickLook{2, 2}, QuickLook{3, 2}, QuickLook{6, 5}, QuickLook{9, 7}, QuickLook{16, 12}}) {
            CAPTURE(look.pixels_per_stitch);
            const ScreenPicture picture = quickly_drawn(quick_fabric_cloth(run, {20, 13, Worked::in_the_round, 0, 20}),
                                                        QuickStamp(loop_shape(), 1, look));
            const LinearRgb mean = mean_light(picture);
            // Half a code of 255, in light: the curve's slope there is under 2.
            constexpr double kHalfACode = 0.5 / 255 * 2;
            CHECK(std::abs(mean.r - colour.r) < kHalfACode);
            CHECK(std::abs(mean.g - colour.g) < kHalfACode);
            CHECK(std::abs(mean.b - colour.b) < kHalfACode);
        }
    }

    TEST_CASE("every stitch of one colour is drawn alike, so that nothing beats") {
        const ScreenPicture picture =
            quickly_drawn(quick_fabric_cloth(plain_run(20'000, {0.5, 0.5, 0.5}), {20, 13, Worked::in_the_round, 0, 20}),
                          QuickStamp(loop_shape(), 1, {5, 4}));
        const auto at = [&](int x, int y) { return picture.rgba[4 * static_cast<std::size_t>(y * picture.width + x)]; };
        for (int y = 0; y < picture.height; ++y)
            for (int x = 0; x < picture.width; ++x) REQUIRE(at(x, y) == at(x % 5, y % 4));
    }

    TEST_CASE("the quick blank is the slowly drawn blank, strand over strand") {
        BlankLayout layout;
        layout.stitches = 12;
        layout.rows = 10;
        const double length = layout.strand_length().value;
        for (const Construction construction : {Construction::flat, Construction::tube}) {
            layout.construction = construction;
            const std::vector<ColourRun> strands{speckled_run(length, 8), speckled_run(length, 9)};
            const WindingOptions winding;
            const QuickLook look{6, 6};
            const Difference miss = difference(
                quickly_drawn(quick_blank_cloth(layout, strands, winding), QuickStamp(loop_shape(), 2, look)),
                slowly_drawn(blank_cloth(layout, strands, winding), look));
            CHECK(miss.most <= kOneCode);
        }
    }

    TEST_CASE("courses coloured anew and drawn again give the picture drawn from scratch") {
        BlankLayout layout;
        layout.stitches = 12;
        layout.rows = 20;
        const double length = layout.strand_length().value, course = layout.row_yarn().value;
        const ColourRun before = plain_run(length, {0.8, 0.8, 0.7});
        std::vector<Piece> pieces{{0, 6 * course, -1, -1, Part::sinker, {0.8, 0.8, 0.7}},
                                  {6 * course, 2 * course, -1, -1, Part::sinker, {0.1, 0.2, 0.6}},
                                  {8 * course, length - 8 * course, -1, -1, Part::sinker, {0.8, 0.8, 0.7}}};
        const ColourRun after(pieces);
        const QuickStamp stamp(loop_shape(), 2, {5, 4});
        QuickCloth cloth = quick_blank_cloth(layout, {before}, {});
        ScreenPicture picture = quickly_drawn(cloth, stamp);
        // A loop's last places lie in the yarn of the next one off.
        recolour_blank(cloth, layout, {after}, {5, 9});
        cloth.close_edges();
        redraw_quickly(picture, cloth, stamp, {5 - QuickCloth::kMargin, 9 + QuickCloth::kMargin, 0, layout.columns()});
        CHECK(picture.rgba == quickly_drawn(quick_blank_cloth(layout, {after}, {}), stamp).rgba);
        CHECK(picture.rgba != quickly_drawn(quick_blank_cloth(layout, {before}, {}), stamp).rgba);
    }

    TEST_CASE("where the yarn ends the fabric is transparent, and its edge takes no colour from beyond") {
        const ScreenPicture picture = quickly_drawn(
            quick_fabric_cloth(plain_run(13.0 * 25, {0.5, 0.5, 0.5}), {10, 13, Worked::in_the_round, 0, 5}),
            QuickStamp(loop_shape(), 1, {6, 5}));
        REQUIRE(picture.height == 3 * 5);
        const auto alpha = [&](int x, int y) {
            return picture.rgba[4 * static_cast<std::size_t>(y * picture.width + x) + 3];
        };
        CHECK(alpha(0, 2) == 0);  // the last round holds 5 stitches, at the right
        CHECK(alpha(29, 2) == 0);
        CHECK(alpha(30, 2) == 255);
        CHECK(alpha(0, 7) == 255);
        for (int y = 0; y < picture.height; ++y)
            for (int x = 0; x < picture.width; ++x)
                if (alpha(x, y) == 255) {
                    const auto* p = picture.rgba.data() + 4 * static_cast<std::size_t>(y * picture.width + x);
                    REQUIRE(p[0] == p[1]);
                    REQUIRE(p[0] > 40);
                }
    }

    TEST_CASE("consecutive means are the run's own means") {
        const ColourRun run = speckled_run(500, 11);
        std::vector<QuickLight> means(60);
        consecutive_means(run, 3.3, 7.1, means.size(), means.data());
        for (std::size_t i = 0; i < means.size(); ++i) {
            const double from = 3.3 + 7.1 * static_cast<double>(i);
            const LinearRgb mean = run.mean(from, from + 7.1);
            constexpr float kSingle = 1e-6F;  // of numbers up to 1
            CHECK(std::abs(means[i].lanes[0] - static_cast<float>(mean.r)) < kSingle);
            CHECK(std::abs(means[i].lanes[2] - static_cast<float>(mean.b)) < kSingle);
        }
    }
}
