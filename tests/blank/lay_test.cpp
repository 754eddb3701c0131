#include "loopread/blank/lay.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string_view>

using namespace loopread;

namespace {

constexpr double kRounding = 1e-12;

/// 40 stitches of 6 mm by 100 rows of 6 mm, 8 raster pixels a stitch: 0.75 mm a pixel both ways.
BlankLayout square_stitches() {
    BlankLayout layout;
    layout.stitches = 40;
    layout.rows = 100;
    layout.wale_spacing = Millimetres{6};
    layout.course_spacing = Millimetres{6};
    return layout;
}

/// Every pixel its own value.
Plane numbered(int rows, int columns) {
    Plane picture(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) picture(r, c) = 100 * r + c;
    return picture;
}

/// The value in the middle of a square of `side` raster pixels that stands for one picture pixel.
double block(const Plane& cloth, int side, int row, int column) {
    return at(cloth, (column + 0.5) * side, (row + 0.5) * side);
}

struct Laid {
    Lay lay;
    std::string_view rows[5];
};

// The picture is ABC over DEF; written by hand.
constexpr RavelEdge kTop = RavelEdge::top, kRight = RavelEdge::right, kBottom = RavelEdge::bottom,
                    kLeft = RavelEdge::left;
constexpr Laid kLaid[] = {
    {{kTop, QuarterTurn::none, Mirror::no, Fit::stretch}, {"ABC", "DEF"}},
    {{kRight, QuarterTurn::none, Mirror::no, Fit::stretch}, {"CF", "BE", "AD"}},
    {{kBottom, QuarterTurn::none, Mirror::no, Fit::stretch}, {"FED", "CBA"}},
    {{kLeft, QuarterTurn::none, Mirror::no, Fit::stretch}, {"DA", "EB", "FC"}},
    {{kTop, QuarterTurn::clockwise_90, Mirror::no, Fit::stretch}, {"DA", "EB", "FC"}},
    {{kTop, QuarterTurn::clockwise_90, Mirror::left_right, Fit::stretch}, {"AD", "BE", "CF"}},  // mirror comes last
    {{kLeft, QuarterTurn::clockwise_90, Mirror::no, Fit::stretch}, {"FED", "CBA"}},
    {{kLeft, QuarterTurn::clockwise_90, Mirror::left_right, Fit::stretch}, {"DEF", "ABC"}},
    {{kRight, QuarterTurn::clockwise_90, Mirror::no, Fit::stretch}, {"ABC", "DEF"}},
    {{kTop, QuarterTurn::none, Mirror::left_right, Fit::stretch}, {"CBA", "FED"}},
};

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("the ravel edge goes on top, then the picture is rotated, then mirrored") {
        const Plane picture = [] {
            Plane letters(2, 3);
            for (int i = 0; i < 6; ++i) letters(i / 3, i % 3) = 'A' + i;
            return letters;
        }();
        for (const Laid& expected : kLaid) {
            BlankLayout layout;
            layout.stitches = static_cast<int>(expected.rows[0].size());
            layout.rows = 6 / layout.stitches;
            layout.course_spacing = layout.wale_spacing;
            const Plane cloth = laid(picture, expected.lay, layout, blank_raster(layout));
            for (int r = 0; r < layout.rows; ++r)
                for (int c = 0; c < layout.stitches; ++c)
                    CHECK(block(cloth, 8, r, c) ==
                          expected.rows[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)]);
        }
    }

    TEST_CASE("the raster covers the painted side with nearly square pixels") {
        BlankLayout layout;
        for (const int stitches : {1, 45, 46, 91}) {
            layout.stitches = stitches;
            layout.construction = stitches == 91 ? Construction::tube : Construction::flat;
            const BlankRaster raster = blank_raster(layout);
            CHECK(raster.columns == 8 * layout.columns());
            CHECK(raster.columns * raster.mm_per_column == doctest::Approx(layout.width().value).epsilon(kRounding));
            CHECK(raster.rows * raster.mm_per_row == doctest::Approx(layout.length().value).epsilon(kRounding));
            CHECK(std::abs(raster.mm_per_row / raster.mm_per_column - 1) < 0.01);
        }
    }

    TEST_CASE("a tile spans the blank's width and repeats from the ravel edge") {
        const BlankLayout layout = square_stitches();
        Lay lay;
        lay.fit = Fit::tile;
        // 40 pixels over 240 mm: 6 mm a pixel, so the tile is 120 mm long.
        const Plane cloth = laid(numbered(20, 40), lay, layout, blank_raster(layout));
        for (int r = 0; r < 100; ++r)
            for (int c = 0; c < 40; ++c) REQUIRE(std::abs(block(cloth, 8, r, c) - (100 * (r % 20) + c)) < 1e-9);
    }

    TEST_CASE("a quarter-turned tile keeps its scale and repeats across") {
        const BlankLayout layout = square_stitches();
        Lay lay;
        lay.fit = Fit::tile;
        lay.rotate = QuarterTurn::clockwise_90;
        const Plane turned_cloth = laid(numbered(20, 40), lay, layout, blank_raster(layout));
        lay.mirror = Mirror::left_right;
        const Plane flipped_cloth = laid(numbered(20, 40), lay, layout, blank_raster(layout));
        for (int r = 0; r < 100; ++r)
            for (int c = 0; c < 40; ++c) {
                // Clockwise: what was at the left comes on top, what was on top comes to the right.
                REQUIRE(std::abs(block(turned_cloth, 8, r, c) - (100 * (19 - c % 20) + r % 40)) < 1e-9);
                REQUIRE(std::abs(block(flipped_cloth, 8, r, c) - (100 * (c % 20) + r % 40)) < 1e-9);
            }
    }

    TEST_CASE("a tile's scale is that of the picture with its ravel edge on top") {
        const BlankLayout layout = square_stitches();
        Lay lay;
        lay.fit = Fit::tile;
        lay.ravel_edge = RavelEdge::left;
        // 20 pixels over 240 mm: 12 mm, or two stitches, a pixel.
        const Plane cloth = laid(numbered(20, 40), lay, layout, blank_raster(layout));
        for (int r = 0; r < 50; ++r)
            for (int c = 0; c < 20; ++c) REQUIRE(std::abs(block(cloth, 16, r, c) - (100 * (19 - c) + r % 40)) < 1e-9);
    }

    TEST_CASE("covering keeps the picture's shape and lays middle on middle") {
        const BlankLayout layout = square_stitches();
        Lay lay;
        lay.fit = Fit::cover;
        // 20 pixels over 600 mm of length: 30 mm a pixel; of 40 pixels across, the middle 8 fit on 240 mm.
        const Plane wide = laid(numbered(20, 40), lay, layout, blank_raster(layout));
        for (int r = 0; r < 20; ++r)
            for (int c = 0; c < 8; ++c) REQUIRE(std::abs(block(wide, 40, r, c) - (100 * r + 16 + c)) < 1e-9);
        // 8 pixels over 240 mm of width: 30 mm a pixel; of 40 pixels along, the middle 20 fit on 600 mm.
        const Plane tall = laid(numbered(40, 8), lay, layout, blank_raster(layout));
        for (int r = 0; r < 20; ++r)
            for (int c = 0; c < 8; ++c) REQUIRE(std::abs(block(tall, 40, r, c) - (100 * (10 + r) + c)) < 1e-9);
    }

    TEST_CASE("pixels are averaged as light") {
        BlankLayout layout;
        layout.stitches = 1;
        layout.rows = 1;
        layout.course_spacing = layout.wale_spacing;
        Image checks(64, 64);
        for (int r = 0; r < 64; ++r)
            for (int c = 0; c < 64; ++c) checks(r, c) = (r + c) % 2 == 0 ? LinearRgb{1, 1, 1} : LinearRgb{};
        for (const LinearRgb& pixel : laid(checks, Lay{}, layout, blank_raster(layout)))
            CHECK(pixel.g == doctest::Approx(0.5).epsilon(kRounding));
    }

    TEST_CASE("a picture's sides swap for an odd number of quarter turns") {
        for (const RavelEdge edge : {kTop, kRight, kBottom, kLeft})
            for (const QuarterTurn turn : {QuarterTurn::none, QuarterTurn::clockwise_90, QuarterTurn::clockwise_180,
                                           QuarterTurn::clockwise_270}) {
                const Lay lay{edge, turn, Mirror::no, Fit::stretch};
                const TurnedSize size = turned_size(30, 70, lay);
                const bool on_its_side = (edge == kRight || edge == kLeft) !=
                                         (turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270);
                CHECK(size.width == (on_its_side ? 70 : 30));
                CHECK(size.height == (on_its_side ? 30 : 70));
            }
    }
}
