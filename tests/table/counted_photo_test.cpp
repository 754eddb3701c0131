#include "loopread/table/counted_photo.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <string>

#include "loopread/table/table.h"
#include "photo/table_photo.h"

using namespace loopread;

namespace {

constexpr int kStitches = 30, kRows = 90;
constexpr double kCountOff = 0.01;

struct OnTable {
    SourcePicture photo;
    std::vector<PicturePoint> corners;
};

SourcePicture as_page_gives(const Picture8& picture) {
    SourcePicture out{picture.columns(), picture.rows(), {}};
    for (const Srgb8& pixel : picture) out.rgba.insert(out.rgba.end(), {pixel.r, pixel.g, pixel.b, 255});
    return out;
}

/// A small blank on a dark table, somewhat from the side.
OnTable photographed(table_photos::Dye dye) {
    const std::array<LinearRgb, 3> dyes = {table_photos::light_of(40, 90, 120), table_photos::light_of(200, 70, 90),
                                           table_photos::light_of(230, 180, 60)};
    table_photos::PlacedBlank blank;
    blank.width_mm = 150;
    blank.length_mm = 345;
    blank.cloth = table_photos::knitted_picture(dye, table_photos::kCream, dyes, kStitches, kRows, 16);
    table_photos::Scene scene;
    scene.width = 620;
    scene.height = 1150;
    scene.table = table_photos::light_of(60, 48, 40);
    scene.turn_deg = 3;
    scene.tilt_deg = 8;
    scene.noise = 0.006;
    const table_photos::TablePhoto photo = table_photos::table_photo(scene, {blank});
    OnTable out{as_page_gives(encoded(photo.picture)), {}};
    for (const PhotoPoint& corner : photo.corners) out.corners.push_back({corner.x, corner.y});
    return out;
}

TableState photo_state(const OnTable& scene) {
    TableState state;
    state.picture = PictureState{};
    state.picture->kind = PictureState::Kind::photo;
    state.picture->corners = scene.corners;
    return state;
}

bool told(const std::vector<std::string>& list, const std::string& words) {
    for (const std::string& line : list)
        if (line.find(words) != std::string::npos) return true;
    return false;
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("a photo within its corners is counted, and its undyed yarn is of one colour") {
        const OnTable scene = photographed(table_photos::Dye::undyed);
        const CountedPhoto photo = counted_photo(scene.photo, scene.corners, RavelEdge::top, {1, 1, 1});
        REQUIRE(photo.why_not.empty());
        CHECK(std::abs(photo.cells.stitches - kStitches) <= kCountOff * kStitches);
        CHECK(std::abs(photo.cells.rows - kRows) <= kCountOff * kRows);
        DyeTable table;
        table.set_source(scene.photo);
        table.apply(photo_state(scene));
        CHECK(table.settled().layout.stitches == photo.cells.stitches);
        CHECK(table.settled().layout.rows == photo.cells.rows);
        CHECK(told(table.settled().assumed, "counted in the photo"));
    }

    TEST_CASE("a count that was typed goes before the photo's, which is told of, and counting can be left off") {
        const OnTable scene = photographed(table_photos::Dye::bands);
        TableState state = photo_state(scene);
        state.blank.stitches = 36;
        state.blank.rows = 90;
        DyeTable table;
        table.set_source(scene.photo);
        table.apply(state);
        CHECK(table.settled().layout.stitches == 36);
        CHECK(told(table.settled().warnings, "the photo shows 30 stitches x 90 rows"));
        state.picture->count = PictureState::Count::no;
        table.apply(state);
        CHECK_FALSE(told(table.settled().warnings, "the photo shows"));
    }

    TEST_CASE("a photo without stitches says that none were counted and is read all the same") {
        OnTable scene{as_page_gives(Picture8(300, 100, Srgb8{120, 60, 60})), {}};
        DyeTable table;
        table.set_source(scene.photo);
        table.apply(photo_state(scene));
        CHECK(told(table.settled().warnings, "could not be counted in the photo"));
        CHECK(table.settled().layout.stitches == BlankLayout{}.stitches);
    }

    TEST_CASE("a photo that lies on its side is counted from the edge at which it comes apart") {
        OnTable scene = photographed(table_photos::Dye::dots);
        const CountedPhoto across = counted_photo(scene.photo, scene.corners, RavelEdge::left, {1, 1, 1});
        CHECK_FALSE(across.why_not.empty());
        const CountedPhoto below = counted_photo(scene.photo, scene.corners, RavelEdge::bottom, {1, 1, 1});
        REQUIRE(below.why_not.empty());
        CHECK(below.upside_down);
    }
}
