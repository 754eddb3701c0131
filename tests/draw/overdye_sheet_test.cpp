#include "loopread/draw/overdye_sheet.h"

#include <doctest/doctest.h>

#include "draw/sheet_pixels.h"

using namespace loopread;

namespace {

constexpr Srgb8 kGround{0x43, 0x98, 0x9f}, kDyed{0x5a, 0x22, 0x2d}, kOther{0x11, 0x77, 0x33};

OverdyeSheet sheet(int panels, int strengths) {
    OverdyeSheet sheet{"All strengths hold.", "A reason.", {}, "A caution."};
    for (int p = 0; p < panels; ++p) {
        OverdyePanel panel{"Dipped first", "A caption.", Image(600, 160, linear_from_srgb8(kOther)), {}};
        for (int i = 0; i < strengths; ++i)
            panel.strengths.push_back({"1/2 of red", "1 part paste to 1 part plain paste", linear_from_srgb8(kGround),
                                       linear_from_srgb8(kDyed),
                                       apart(lab_from_linear(linear_from_srgb8(kDyed)),
                                             lab_from_linear(linear_from_srgb8(kGround)), kLostUnder)});
        sheet.panels.push_back(panel);
    }
    return sheet;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("an overdyeing sheet shows every strength on its ground and the design of each order") {
        const Picture8 one = overdye_sheet(sheet(1, 3)), two = overdye_sheet(sheet(2, 3));
        CHECK(two.columns() > 1.7 * one.columns());
        CHECK(sheet_pixels::pixels_of(two, kOther) >= 2 * 600 * 160);
        CHECK(sheet_pixels::pixels_of(two, kDyed) == 2 * sheet_pixels::pixels_of(one, kDyed));
        CHECK(sheet_pixels::pixels_of(overdye_sheet(sheet(1, 6)), kDyed) == 2 * sheet_pixels::pixels_of(one, kDyed));
    }

    TEST_CASE("nothing of an overdyeing sheet reaches its margins, many strengths or one") {
        for (const int strengths : {1, 3, 14}) CHECK(sheet_pixels::bare_margins(overdye_sheet(sheet(2, strengths))));
    }
}
