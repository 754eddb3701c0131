#include "loopread/draw/lays_sheet.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "draw/sheet_pixels.h"
#include "loopread/draw/canvas.h"

using namespace loopread;
using namespace loopread::sheet_pixels;

namespace {

constexpr int kPanelWidth = 402;  // blank, gap and fabric
constexpr int kPanelGap = 42;
constexpr double kBarPixels = 2.5;  // both ends on whole pixels, and the paper between two parts
constexpr std::array<Srgb8, 4> kShareColours = {
    {{0x7f, 0x9c, 0xb4}, {0xd0, 0x8f, 0x74}, {0xe2, 0xcb, 0x8e}, {0xd6, 0xd2, 0xca}}};
const LinearRgb kGreen{0.1, 0.5, 0.1}, kRed{0.5, 0.1, 0.1};

LayPanel panel(int rank, int tie) {
    LayPanel panel;
    panel.rank = rank;
    panel.tie = tie;
    panel.name = "turned a quarter clockwise, mirrored, painted on the purl side";
    panel.blank = Image(320, 90, kRed);
    panel.fabric = Image(240, 300, kGreen);
    panel.stripe = 0.5;
    panel.pool = 0.25;
    panel.dash = 0.2;
    panel.speckle = 0.05;
    panel.risk = 0.12;
    panel.verdict = "Stripes about three rounds deep; a few short dashes.";
    return panel;
}

LaysSheet sheet_of(const std::vector<int>& ties) {
    LaysSheet sheet{"Turn it a quarter and paint the purl side", "64 stitches, both balls", {}};
    for (const int tie : ties) sheet.panels.push_back(panel(static_cast<int>(sheet.panels.size()) + 1, tie));
    return sheet;
}

/// The two rows of pixels of a bracket over panels that tie (a bar's frame is one row thick).
struct Bracket {
    int x = 0, y = 0, length = 0;
    bool left_end = false, right_end = false;
};
std::vector<Bracket> brackets(const Picture8& sheet) {
    const auto quiet = [&](int y, int x) { return sheet(y, x) == ink::kQuiet; };
    std::vector<Bracket> found;
    for (int y = 0; y + 6 < sheet.rows(); ++y)
        for (int x = 0; x < sheet.columns(); ++x) {
            int length = 0;
            while (x + length < sheet.columns() && quiet(y, x + length) && quiet(y + 1, x + length)) ++length;
            if (length >= kPanelWidth) found.push_back({x, y, length, quiet(y + 6, x), quiet(y + 6, x + length - 1)});
            x += length;
        }
    return found;
}

/// The longest stretch of a colour in one row of pixels.
int longest_run(const Picture8& sheet, Srgb8 colour) {
    int longest = 0;
    for (int y = 0; y < sheet.rows(); ++y)
        for (int x = 0, run = 0; x < sheet.columns(); ++x) {
            run = sheet(y, x) == colour ? run + 1 : 0;
            longest = std::max(longest, run);
        }
    return longest;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("the parts of a bar are as long as their shares") {
        for (const std::array<double, 4>& shares :
             {std::array<double, 4>{0.5, 0.25, 0.2, 0.05}, {0.02, 0.9, 0.05, 0.03}, {1, 0, 0, 0}, {0, 0, 0.4, 0.6}}) {
            LaysSheet sheet = sheet_of({1});
            LayPanel& one = sheet.panels.front();
            one.stripe = shares[0];
            one.pool = shares[1];
            one.dash = shares[2];
            one.speckle = shares[3];
            const Picture8 picture = lays_sheet(sheet);
            for (std::size_t i = 0; i < 4; ++i) {
                CAPTURE(i);
                CHECK(std::abs(longest_run(picture, kShareColours[i]) - shares[i] * kPanelWidth) <= kBarPixels);
            }
        }
    }

    TEST_CASE("panels that tie are drawn together and no others") {
        CHECK(brackets(lays_sheet(sheet_of({1, 2, 3, 4}))).empty());
        const std::vector<Bracket> two = brackets(lays_sheet(sheet_of({1, 1, 2, 3})));
        REQUIRE(two.size() == 1);
        CHECK(two[0].length == 2 * kPanelWidth + kPanelGap);
        CHECK(two[0].left_end);
        CHECK(two[0].right_end);
        const std::vector<Bracket> pairs = brackets(lays_sheet(sheet_of({1, 2, 2, 3, 4, 4, 4})));
        REQUIRE(pairs.size() == 2);
        CHECK(pairs[0].x == two[0].x + kPanelWidth + kPanelGap);
        CHECK(pairs[1].length == 3 * kPanelWidth + 2 * kPanelGap);
    }

    TEST_CASE("a tie that goes on in the next row has no end there") {
        const std::vector<Bracket> found = brackets(lays_sheet(sheet_of({1, 2, 3, 4, 4})));
        REQUIRE(found.size() == 2);
        CHECK(found[0].y < found[1].y);
        CHECK(found[0].left_end);
        CHECK_FALSE(found[0].right_end);
        CHECK_FALSE(found[1].left_end);
        CHECK(found[1].right_end);
    }

    TEST_CASE("every blank and every fabric is on the sheet, pixel for pixel where it fits") {
        for (const int panels : {1, 2, 4, 5, 16}) {
            CAPTURE(panels);
            const Picture8 picture = lays_sheet(sheet_of(std::vector<int>(static_cast<std::size_t>(panels), 1)));
            CHECK(pixels_of(picture, srgb8_from_linear(kGreen)) == panels * 300 * 240);
            CHECK(pixels_of(picture, srgb8_from_linear(kRed)) == panels * 90 * 320);
            CHECK(bare_margins(picture));
        }
    }

    TEST_CASE("pictures too large for a panel are made smaller in proportion") {
        LaysSheet sheet = sheet_of({1});
        sheet.panels[0].fabric = Image(480, 600, kGreen);
        sheet.panels[0].blank = Image(1440, 90, kRed);
        const Picture8 picture = lays_sheet(sheet);
        CHECK(pixels_of(picture, srgb8_from_linear(kGreen)) == 300 * 240);
        CHECK(pixels_of(picture, srgb8_from_linear(kRed)) == 360 * 22);  // 22.5, cut to whole pixels
    }

    TEST_CASE("words of any length stay off the margins of the sheet of lays") {
        LaysSheet sheet = sheet_of({1, 1, 2, 3, 4});
        const std::string words = "words and more words about how it lies. ";
        sheet.headline = words + words + words + words;
        sheet.why = sheet.headline + std::string(400, 'm');
        const std::string unbroken = words + std::string(100, 'm') + words;
        for (LayPanel& one : sheet.panels) {
            one.rank += 90;
            one.name = unbroken;
            one.verdict = unbroken;
        }
        CHECK(bare_margins(lays_sheet(sheet)));
        sheet.panels.resize(1);
        sheet.panels[0].blank = Image();
        sheet.panels[0].fabric = Image(1, 1, kGreen);
        CHECK(bare_margins(lays_sheet(sheet)));
    }

    TEST_CASE("fabric of one colour gets an empty bar") {
        LaysSheet sheet = sheet_of({1});
        LayPanel& one = sheet.panels.front();
        one.stripe = one.pool = one.dash = one.speckle = 0;
        const Picture8 picture = lays_sheet(sheet);
        for (const Srgb8 colour : kShareColours) CHECK(pixels_of(picture, colour) == 0);
    }

    TEST_CASE("the same lays are the same picture") {
        const LaysSheet sheet = sheet_of({1, 1, 2, 3, 3});
        CHECK(lays_sheet(sheet) == lays_sheet(sheet));
    }
}
