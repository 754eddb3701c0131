#include "loopread/draw/compare_sheet.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "compare/dyed_scene.h"
#include "draw/sheet_pixels.h"

using namespace loopread;
using namespace loopread::dyed_scene;
using namespace loopread::sheet_pixels;

namespace {

constexpr Srgb8 kBefore{0x2f, 0x4d, 0x66}, kAfter{0xb0, 0x52, 0x2d};
constexpr Srgb8 kAlong{0xff, 0xd2, 0x3f}, kAcross{0x35, 0xe0, 0xd0}, kSlanting{0xff, 0x7a, 0xc8};

struct Drawn {
    DyedPicture before, after;
    std::vector<EdgePiece> before_edges, after_edges;
};

Drawn drawn(double height) {
    DyedPiece piece;
    piece.height = height;
    Drawn out;
    out.before = plain_picture(plain(piece, 0.6), {piece.width, piece.height});
    piece.sigma = 2;
    out.after = plain_picture(plain(piece, 0.6), {piece.width, piece.height});
    out.before_edges = edge_pieces(out.before, main_colour(out.before));
    out.after_edges = edge_pieces(out.after, main_colour(out.after));
    return out;
}

CompareSheet sheet_of(const Drawn& drawn) {
    CompareSheet sheet;
    sheet.headline = "The edges softened; no stencil colour seen in the ground.";
    sheet.subtitle = "the same piece twice, edge by edge";
    sheet.panels[0] = {&drawn.before, &drawn.before_edges, "Before", "some pieces of edge"};
    sheet.panels[1] = {&drawn.after, &drawn.after_edges, "After", "some pieces of edge"};
    sheet.profiles[0] = {"before", mean_profile(drawn.before_edges), median_width(drawn.before_edges)};
    sheet.profiles[1] = {"after", mean_profile(drawn.after_edges), median_width(drawn.after_edges)};
    sheet.floor_mm = 1.2;
    sheet.notes = {{"Edges: softened", "Edges are wider by 3.6 mm."}, {"Ground: no change seen", "No stencil dye."}};
    return sheet;
}

}  // namespace

TEST_SUITE("compare_sheet") {
    TEST_CASE("both pictures, edges in their colours and both curves are on the sheet, and nothing runs off it") {
        const Drawn scene = drawn(300);
        const Picture8 sheet = compare_sheet(sheet_of(scene));
        CHECK(bare_margins(sheet));
        for (const Srgb8 colour : {kAlong, kAcross, kSlanting}) CHECK(pixels_of(sheet, colour) > 300);
        CHECK(pixels_of(sheet, kBefore) > 500);
        CHECK(pixels_of(sheet, kAfter) > 500);
        CHECK(pixels_of(sheet, srgb8_from_linear(LinearRgb{0.55, 0.5, 0.4})) > 100'000);
    }

    TEST_CASE("long blanks lie on their sides, so that their edges can be seen") {
        const Drawn scene = drawn(820);
        const Picture8 sheet = compare_sheet(sheet_of(scene));
        CHECK(bare_margins(sheet));
        CHECK(sheet.rows() < 2 * sheet.columns());
        CHECK(pixels_of(sheet, kAcross) > 300);
    }

    TEST_CASE("without a single edge the sheet still says so") {
        Drawn scene = drawn(300);
        scene.after_edges.clear();
        CompareSheet sheet = sheet_of(scene);
        sheet.profiles[1] = {"after", {}, 0};
        CHECK(bare_margins(compare_sheet(sheet)));
    }
}
