#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "loopread/table/pictures.h"
#include "loopread/table/table.h"
#include "table/table_scene.h"

namespace loopread {
namespace {

constexpr PictureBox kBlankBox{170, 300}, kGlassBox{400, 900}, kRibbonBox{150, 240}, kFabricBox{100, 200};

/// The pixels of all that a table shows.
std::vector<std::vector<std::uint8_t>> shown(ClothPictures& pictures, const DyeTable& table) {
    std::vector<std::vector<std::uint8_t>> out;
    out.push_back(pictures.blank(table, kBlankBox, Drawing::quick).picture.rgba);
    out.push_back(pictures.blank(table, kGlassBox, Drawing::quick).picture.rgba);
    out.push_back(pictures.ribbons(table, kRibbonBox, 0).picture.rgba);
    for (int ball = 1; ball <= static_cast<int>(table.strands().size()); ++ball)
        out.push_back(pictures.fabric(table, {kFabricBox, ball, 0, Drawing::quick}).picture.rgba);
    return out;
}

/// Pictures that are kept against pictures drawn anew from the same table.
void check_kept(ClothPictures& kept, const DyeTable& table) {
    ClothPictures anew;
    const auto wanted = shown(anew, table), found = shown(kept, table);
    REQUIRE(found.size() == wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        CAPTURE(i);
        CHECK((found[i] == wanted[i]));
    }
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("a picture of which only what changed was drawn is the whole picture, to the bit") {
        for (const auto from : {KnittingState::From::ravel_end, KnittingState::From::far_end})
            for (const Construction construction : {Construction::flat, Construction::tube}) {
                CAPTURE(static_cast<int>(from));
                CAPTURE(static_cast<int>(construction));
                DyeTable table;
                ClothPictures kept;
                TableState state = harbour_table();
                state.blank.construction = construction;
                if (construction == Construction::tube) {  // two layers of the same width
                    state.blank.stitches = 40;
                    state.blank.strand_m = 34;
                }
                state.knitting.from = from;
                table.apply(state);
                check_kept(kept, table);
                auto& strokes = std::get<Brush>(state.layers.back().form).strokes;
                for (int i = 0; i < 12; ++i) {  // so short that few lines and rounds change
                    const BlankPoint point{i % 2 == 0 ? 20.0 : 80.0, 5 + 12.5 * i};
                    strokes.back().points.push_back(point);
                    table.apply(state);
                    check_kept(kept, table);
                }
            }
    }

    TEST_CASE("kept pictures follow every other change") {
        DyeTable table;
        ClothPictures kept;
        TableState state = harbour_table();
        const auto follow = [&](const char* what) {
            CAPTURE(what);
            table.apply(state);
            check_kept(kept, table);
        };
        follow("the first");
        state.knitting.stitches = 28;
        follow("stitches");
        state.knitting.yarn_per_round_cm = 40;
        follow("yarn in a round");
        state.knitting.worked = Worked::back_and_forth;
        follow("back and forth");
        state.knitting.from = KnittingState::From::far_end;
        follow("the other end");
        state.layers[0].colour = {0xff, 0, 0};
        follow("colour");
        state.seed = 9;  // the strands wind another way
        follow("seed");
        state.blank.tail = Tail::right;
        follow("tail");
        state.blank.painted = Painted::back;
        follow("side");
        state.blank.width_cm = 12;
        follow("width");
        state.blank.rows = 36;
        follow("rows");
        state.blank.strands = 1;
        follow("one strand");
        state.nudge = Nudge{};
        state.nudge->scale = 1.1;
        follow("nudge");
    }
}

}  // namespace loopread
