#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "draw/sheet_pixels.h"
#include "loopread/draw/contact_sheet.h"
#include "loopread/draw/palette_card.h"

using namespace loopread;
using sheet_pixels::pixels_of;

namespace {

constexpr Srgb8 kRed{200, 20, 20}, kBlue{20, 20, 200};

PaletteCard card_of(int columns, int rows) {
    const WrapRoom room = wrap_room(columns, rows);
    PaletteCard card{.columns = columns,
                     .rows = rows,
                     .title = "Lanterns",
                     .subtitle = "",
                     .wrap = {},
                     .bands = {},
                     .foot = "computed from the dyed blank"};
    card.wrap = Picture8(room.rows, room.columns, kRed);
    card.bands = {{"Harbour", "70 %, #2f7d9b", 0, 0.7 * room.rows},
                  {"Lantern", "30 %, #d8455a", 0.7 * room.rows, 1.0 * room.rows}};
    return card;
}

/// Nothing but paper in the outermost pixels.
bool bare_edge(const Picture8& sheet, int wide) {
    for (int y = 0; y < sheet.rows(); ++y)
        for (int x = 0; x < sheet.columns(); ++x) {
            const bool edge = y < wide || x < wide || y >= sheet.rows() - wide || x >= sheet.columns() - wide;
            if (edge && sheet(y, x) != ink::kPaper) return false;
        }
    return true;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("the palette card has the asked-for size and shows the whole wrap at any shape") {
        for (const auto& [columns, rows] :
             {std::pair{2000, 2000}, {2000, 1500}, {1600, 2000}, {400, 400}, {200, 160}}) {
            const PaletteCard card = card_of(columns, rows);
            const Picture8 sheet = palette_card(card);
            CHECK(sheet.rows() == rows);
            CHECK(sheet.columns() == columns);
            CHECK(pixels_of(sheet, kRed) == card.wrap.rows() * card.wrap.columns());
        }
    }

    TEST_CASE("many colours with long names stay on the card") {
        PaletteCard card = card_of(1000, 1000);
        card.title = std::string(120, 'W');
        card.subtitle = std::string(300, 'm');
        card.bands.clear();
        for (int i = 0; i < 8; ++i)
            card.bands.push_back({"A colour with a very long name indeed, number " + std::to_string(i), "12 %, #2f7d9b",
                                  i * card.wrap.rows() / 8.0, (i + 1) * card.wrap.rows() / 8.0});
        CHECK(bare_edge(palette_card(card), 4));
    }

    TEST_CASE("a wider sheet shows the same pictures in the same order") {
        ContactSheet sheet{
            .columns = 1200, .title = "Lanterns", .subtitle = "dyed by someone", .pictures = {}, .lines = {}};
        const ThumbRoom room = thumb_room(sheet.columns, 2);
        CHECK(room.across == 2);
        sheet.pictures = {{Picture8(room.pixels, room.pixels, kRed), "one"},
                          {Picture8(room.pixels / 2, room.pixels, kBlue), "two"}};
        const Picture8 drawn = contact_sheet(sheet);
        CHECK(drawn.columns() == 1200);
        CHECK(pixels_of(drawn, kRed) == room.pixels * room.pixels);
        CHECK(pixels_of(drawn, kBlue) == room.pixels / 2 * room.pixels);
        const auto first = [&](Srgb8 colour) {
            return (std::find(drawn.begin(), drawn.end(), colour) - drawn.begin()) % 1200;
        };
        CHECK(first(kRed) < first(kBlue));
        CHECK(bare_edge(drawn, 8));
    }

    TEST_CASE("eight and nine pictures fill their rows") {
        CHECK(thumb_room(2000, 8).across == 4);
        CHECK(thumb_room(2000, 9).across == 3);
        CHECK(thumb_room(2000, 1).across == 1);
        for (const std::size_t count : {1U, 2U, 5U, 8U, 9U, 10U}) {
            const ThumbRoom room = thumb_room(2000, count);
            CHECK(room.across * room.pixels < 2000);
        }
    }
}
