#include "loopread/draw/sock_sheet.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "draw/sheet_pixels.h"
#include "loopread/draw/canvas.h"

using namespace loopread;
using namespace loopread::sheet_pixels;

namespace {

constexpr int kDotPixels = 40;    // of a note's dot of radius 3: at most
constexpr double kLineWidth = 6;  // pixel rows that a level line with its pale edge can touch
const LinearRgb kGreen{0.1, 0.5, 0.1};

SockSheet pair_with(const std::vector<SockNote>& notes, int rows = 600, int columns = 400) {
    SockSheet sheet{"A pair of socks", {}, 20};
    for (const char* title : {"ball A", "ball B"})
        sheet.socks.push_back({Image(rows, columns, kGreen), title, "62 m left over, 29 % of the ball", notes});
    return sheet;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("socks without notes stand on their sheet pixel for pixel") {
        const Picture8 sheet = sock_sheet(pair_with({}));
        CHECK(pixels_of(sheet, srgb8_from_linear(kGreen)) == 2 * 600 * 400);
        CHECK(bare_margins(sheet));
    }

    TEST_CASE("a note covers no more of its sock than its line and dot") {
        const std::vector<SockNote> notes = {{60, 40, "cuff: ravel edge of the blank"},
                                             {350, 560, "the yarn ends here"}};
        const Picture8 sheet = sock_sheet(pair_with(notes));
        const int covered = 2 * 600 * 400 - pixels_of(sheet, srgb8_from_linear(kGreen));
        CHECK(covered > 2 * (60 + 50));
        CHECK(covered < 2 * (60 + 50 + 2 * 10) * kLineWidth);
    }

    TEST_CASE("notes never lie on each other, however close their places") {
        // Letters that overlapped would share pixels: then all notes together had fewer dark ones than each by itself.
        const std::vector<SockNote> notes = {{380, 300, "toe: row 88 of the blank"},
                                             {390, 312, "the yarn ends here, one and a half rounds short"},
                                             {370, 324, "end"},
                                             {360, 336, "gusset, in the colours of the flap"},
                                             {20, 590, "heel"},
                                             {30, 578, "a heel flap of thirty-two rows"}};
        const int bare = pixels_of(sock_sheet(pair_with({})), ink::kText);
        int apart = 0;
        for (const SockNote& note : notes) apart += pixels_of(sock_sheet(pair_with({note})), ink::kText) - bare;
        CHECK(apart > 400);
        CHECK(pixels_of(sock_sheet(pair_with(notes)), ink::kText) - bare == apart);
    }

    TEST_CASE("a note's dot lies on its place") {
        for (const SockNote& note : {SockNote{50, 100, "here"}, SockNote{300, 420, "there"}}) {
            SockSheet one = pair_with({note});
            one.socks.resize(1);
            one.headline.clear();
            const Picture8 sheet = sock_sheet(one);
            const Srgb8 green = srgb8_from_linear(kGreen);
            int left = sheet.columns(), top = sheet.rows();
            for (int y = 0; y < sheet.rows(); ++y)
                for (int x = 0; x < sheet.columns(); ++x)
                    if (sheet(y, x) == green) {
                        left = std::min(left, x);
                        top = std::min(top, y);
                    }
            double sum_x = 0, sum_y = 0;
            int count = 0;
            for (int y = 0; y < 600; ++y)
                for (int x = 0; x < 400; ++x)
                    if (sheet(top + y, left + x) == ink::kText) {
                        sum_x += x + 0.5;
                        sum_y += y + 0.5;
                        ++count;
                    }
            REQUIRE(count > 5);
            CHECK(count < kDotPixels);
            CHECK(std::abs(sum_x / count - note.x) <= 1);
            CHECK(std::abs(sum_y / count - note.y) <= 1);
        }
    }

    TEST_CASE("words of any length and places beyond the picture stay on the sheet of socks") {
        const std::string words = "a note that tells more than it should and then some. ";
        std::vector<SockNote> notes;
        for (int i = 0; i < 12; ++i) notes.push_back({i * 300.0 - 900, i * 200.0 - 500, words + std::string(60, 'm')});
        SockSheet sheet = pair_with(notes, 60, 40);
        CHECK(bare_margins(sock_sheet(sheet)));
        sheet.headline = words + words + words;
        sheet.socks[0].title = sheet.socks[1].caption = words + words;
        CHECK(bare_margins(sock_sheet(sheet)));
        sheet.pixels_per_cm = 0;
        sheet.socks.push_back({Image(1700, 30, kGreen), "", "", {}});
        CHECK(bare_margins(sock_sheet(sheet)));
    }

    TEST_CASE("the scale bar of the socks is ten centimetres long where those have room") {
        const Picture8 sheet = sock_sheet(pair_with({}));
        int longest = 0;
        for (int y = 0; y < sheet.rows(); ++y)
            for (int x = 0, run = 0; x < sheet.columns(); ++x) {
                run = sheet(y, x) == ink::kText ? run + 1 : 0;
                longest = std::max(longest, run);
            }
        CHECK(longest == 10 * 20);
    }

    TEST_CASE("the same socks are the same picture") {
        const SockSheet sheet = pair_with({{60, 40, "cuff"}, {350, 560, "toe"}});
        CHECK(sock_sheet(sheet) == sock_sheet(sheet));
    }
}
