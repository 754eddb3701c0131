#include "loopread/draw/contrast_sheet.h"

#include <doctest/doctest.h>

#include "draw/sheet_pixels.h"

using namespace loopread;

namespace {

constexpr Srgb8 kDark{0x5a, 0x22, 0x2d}, kLight{0x43, 0x98, 0x9f}, kStitch{0x77, 0x66, 0x55};

ContrastSheet sheet(int rows) {
    ContrastSheet sheet{"All pairs hold.",
                        "A reason.",
                        Image(600, 200, linear_from_srgb8(kLight)),
                        Picture8(600, 200, {0x80, 0x80, 0x80}),
                        {},
                        {},
                        "A note."};
    for (int i = 0; i < rows; ++i)
        sheet.rows.push_back({linear_from_srgb8(kDark),
                              linear_from_srgb8(kLight),
                              {linear_from_srgb8(kStitch), linear_from_srgb8(kStitch)},
                              "Dark red on teal",
                              "L* 20 apart",
                              "holds",
                              "Some advice that runs over more than one line of the column, so "
                              "that the row has to grow with it and the next one moves down."});
    return sheet;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("a lost edge is marked in black and white both, whatever it lies on") {
        ContrastSheet marked = sheet(1);
        const Picture8 before = contrast_sheet(marked);
        marked.lost.push_back({{20, 300}, {100, 300}, {180, 300}});
        const Picture8 after = contrast_sheet(marked);
        constexpr Srgb8 kBlack{0, 0, 0}, kWhite{0xff, 0xff, 0xff};
        CHECK(sheet_pixels::pixels_of(after, kBlack) > sheet_pixels::pixels_of(before, kBlack) + 100);
        CHECK(sheet_pixels::pixels_of(after, kWhite) > sheet_pixels::pixels_of(before, kWhite) + 100);
    }

    TEST_CASE("each pair is shown as dyed and as knitted, and what could not be told is left out") {
        ContrastSheet few = sheet(2);
        const int stitches = sheet_pixels::pixels_of(contrast_sheet(few), kStitch);
        CHECK(stitches > 0);
        CHECK(sheet_pixels::pixels_of(contrast_sheet(sheet(4)), kStitch) == 2 * stitches);
        few.rows[1].knitted.clear();
        CHECK(sheet_pixels::pixels_of(contrast_sheet(few), kStitch) == stitches / 2);
    }

    TEST_CASE("nothing of a contrast sheet reaches its margins, many pairs or none") {
        for (const int rows : {0, 3, 14}) CHECK(sheet_pixels::bare_margins(contrast_sheet(sheet(rows))));
    }
}
