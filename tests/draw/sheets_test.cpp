#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "draw/sheet_pixels.h"
#include "loopread/draw/canvas.h"
#include "loopread/draw/fabric_sheet.h"
#include "loopread/draw/strands.h"

using namespace loopread;
using namespace loopread::sheet_pixels;

namespace {

constexpr int kClearMargin = 6;  // pixels at the right edge that no letter may reach
constexpr double kPixel = 1.0;   // an end that falls within a pixel is drawn into it

/// A strand in red and blue by turns, 400 mm each.
ColourRun striped(double length_mm) {
    std::vector<Piece> pieces;
    for (double start = 0; start < length_mm; start += 400) {
        Piece piece;
        piece.start_mm = start;
        piece.length_mm = std::min(400.0, length_mm - start);
        piece.colour = pieces.size() % 2 == 0 ? LinearRgb{0.8, 0.05, 0.05} : LinearRgb{0.05, 0.05, 0.8};
        pieces.push_back(piece);
    }
    return ColourRun(pieces);
}

/// The first column, counted from the right edge, that is not bare paper all the way down.
int bare_columns_at_right(const Picture8& picture) {
    for (int bare = 0; bare < picture.columns(); ++bare)
        for (int y = 0; y < picture.rows(); ++y)
            if (picture(y, picture.columns() - 1 - bare) != ink::kPaper) return bare;
    return picture.columns();
}

/// A panel of plain green fabric.
FabricPanel panel(int rows, int columns, const std::string& title) {
    return {Image(rows, columns, {0.1, 0.5, 0.1}), title, "plain"};
}

/// Where a run of dark pixels starts and how long the bar that it begins is, up to the last pixel of ink in its frame.
struct Bar {
    int row = -1, left = 0, length = 0;
};

/// The scale bar: the longest unbroken stretch of ink in one pixel row below the fabric.
Bar scale_bar(const Picture8& sheet, int from_row) {
    Bar longest;
    for (int y = from_row; y < sheet.rows(); ++y)
        for (int x = 0, run = 0; x < sheet.columns(); ++x) {
            run = sheet(y, x) == ink::kText ? run + 1 : 0;
            if (run > longest.length) longest = {y, x - run + 1, run};
        }
    return longest;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("the picture of the strands is as wide as asked for") {
        for (const int width : {900, 1500, 2200}) {
            StrandMarks marks;
            marks.width = width;
            marks.row_yarn_mm = 986;
            marks.round_yarn_mm = 832;
            marks.loop_mm = 21;
            CHECK(strands_picture({striped(60'000), striped(60'000)}, marks).columns() == width);
            CHECK(strands_picture({striped(900)}, marks).columns() == width);
        }
    }

    TEST_CASE("no label of the strands runs off the right edge") {
        // Lengths of row and round at odds with the line length, so that marks fall everywhere along a line.
        for (const double row_mm : {966.0, 1117.0, 2345.0, 311.0})
            for (const double length_mm : {211'000.0, 87'650.0, 3'300.0}) {
                CAPTURE(row_mm);
                CAPTURE(length_mm);
                StrandMarks marks;
                marks.row_yarn_mm = row_mm;
                marks.round_yarn_mm = 833;
                marks.loop_mm = 21;
                const Picture8 picture = strands_picture({striped(length_mm), striped(length_mm)}, marks);
                CHECK(bare_columns_at_right(picture) >= kClearMargin);
                CHECK(bare_columns_at_right(picture) < picture.columns() / 10);
            }
    }

    TEST_CASE("a second strand gets ribbons of its own") {
        StrandMarks marks;
        const ColourRun red({{0, 10'000, -1, -1, Part::sinker, {0.8, 0.05, 0.05}}});
        const ColourRun blue({{0, 10'000, -1, -1, Part::sinker, {0.05, 0.05, 0.8}}});
        const auto mostly = [](const Picture8& picture, std::uint8_t Srgb8::*more, std::uint8_t Srgb8::*less) {
            return std::count_if(picture.begin(), picture.end(), [&](Srgb8 p) { return p.*more > 80 + p.*less; });
        };
        const Picture8 one = strands_picture({red}, marks), both = strands_picture({red, blue}, marks);
        CHECK(mostly(one, &Srgb8::r, &Srgb8::b) > 1000);
        CHECK(mostly(one, &Srgb8::b, &Srgb8::r) == 0);
        CHECK(mostly(both, &Srgb8::r, &Srgb8::b) == mostly(one, &Srgb8::r, &Srgb8::b));
        CHECK(mostly(both, &Srgb8::b, &Srgb8::r) == mostly(both, &Srgb8::r, &Srgb8::b));
    }

    TEST_CASE("marks of rows are drawn only where the yarn in a row is known") {
        StrandMarks without, with;
        with.row_yarn_mm = 986;
        const std::vector<ColourRun> strands = {striped(60'000)};
        const Picture8 bare = strands_picture(strands, without), marked = strands_picture(strands, with);
        CHECK(pixels_of(marked, ink::kText) > pixels_of(bare, ink::kText));
    }

    TEST_CASE("the scale bar is a whole or half number of centimetres long at the scale of the fabric") {
        for (const double pixels_per_cm : {9.6, 17.3, 38.4, 51.2, 77.0, 150.0}) {
            CAPTURE(pixels_per_cm);
            FabricSheetScale scale;
            scale.pixels_per_cm = pixels_per_cm;
            const Picture8 sheet = fabric_sheet({panel(200, 700, "ball A")}, scale);
            const Bar bar = scale_bar(sheet, sheet.rows() - 40);
            const double cm = bar.length / pixels_per_cm;
            CAPTURE(cm);
            const auto fits = [&](double whole) { return std::abs(bar.length - whole * pixels_per_cm) <= kPixel; };
            const std::vector<double> lengths = {0.5, 1, 2, 5, 10, 20, 50};
            REQUIRE(std::any_of(lengths.begin(), lengths.end(), fits));
        }
    }

    TEST_CASE("the words at the scale bar say its length") {
        // The same fabric at twice the pixels a centimetre: a bar of the same centimetres is twice as long, and its
        // words are the same pixels.
        const auto sheet_at = [](double pixels_per_cm) {
            FabricSheetScale scale;
            scale.pixels_per_cm = pixels_per_cm;
            return fabric_sheet({panel(100, 700, "")}, scale);
        };
        const auto words_behind = [](const Picture8& sheet) {
            const Bar bar = scale_bar(sheet, sheet.rows() - 40);
            std::vector<Srgb8> words;
            for (int y = sheet.rows() - 40; y < sheet.rows(); ++y)
                for (int x = bar.left + bar.length; x < bar.left + bar.length + 60; ++x) words.push_back(sheet(y, x));
            return words;
        };
        const Picture8 two = sheet_at(100), five = sheet_at(52), five_again = sheet_at(50);
        CHECK(scale_bar(two, two.rows() - 40).length == 200);
        CHECK(scale_bar(five, five.rows() - 40).length == 260);
        CHECK(scale_bar(five_again, five_again.rows() - 40).length == 250);
        CHECK(words_behind(five) == words_behind(five_again));
        CHECK(words_behind(five) != words_behind(two));
    }

    TEST_CASE("every panel stands on the sheet pixel for pixel") {
        FabricSheetScale scale;
        scale.pixels_per_cm = 40;
        scale.pixels_per_round = 10;
        scale.rounds = 30;
        const Srgb8 green = srgb8_from_linear({0.1, 0.5, 0.1});
        const Picture8 sheet = fabric_sheet({panel(300, 220, "ball A"), panel(180, 150, "ball B")}, scale);
        CHECK(pixels_of(sheet, green) == 300 * 220 + 180 * 150);
        CHECK(bare_columns_at_right(sheet) >= kClearMargin);
    }

    TEST_CASE("a caption wider than its fabric is not cut off at the right edge") {
        FabricSheetScale scale;
        scale.pixels_per_cm = 20;
        std::vector<FabricPanel> panels = {panel(100, 120, "ball A"), panel(100, 120, "ball B")};
        for (FabricPanel& one : panels) one.caption = "40 stitches, first 120 of 1406 rounds, opened out";
        CHECK(bare_columns_at_right(fabric_sheet(panels, scale)) >= kClearMargin);
    }
}
