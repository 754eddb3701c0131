#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/blank/measures.h"
#include "loopread/colour/kubelka_munk.h"
#include "loopread/loop/interlacing.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/knitters.h"
#include "loopread/table/told.h"
#include "loopread/unravel/unravelled.h"
#include "table/table_scene.h"

using namespace loopread;

namespace {

bool same_colours(const ColourRun& a, const ColourRun& b) {
    if (a.pieces().size() != b.pieces().size()) return false;
    for (std::size_t i = 0; i < a.pieces().size(); ++i) {
        const Piece &p = a.pieces()[i], &q = b.pieces()[i];
        if (!(p.colour == q.colour) || p.start_mm != q.start_mm || p.course != q.course || p.wale != q.wale ||
            p.part != q.part)
            return false;
    }
    return true;
}

bool same_strands(const DyeTable& a, const DyeTable& b) {
    if (a.strands().size() != b.strands().size() || !same_colours(a.seen_side(), b.seen_side())) return false;
    for (std::size_t s = 0; s < a.strands().size(); ++s)
        if (!same_colours(a.strands()[s], b.strands()[s])) return false;
    return true;
}

/// The same table, nothing worked out before.
DyeTable fresh(const TableState& state, const SourcePicture& picture = {}) {
    DyeTable table;
    if (!picture.empty()) table.set_source(picture);
    table.apply(state);
    return table;
}

std::vector<ColourRun> by_hand(const DyeTable& table, const Paint& paint) {
    return unravelled(table.settled().layout, paint, table.shape(), table.shares(), table.winding());
}

LinearRgb linear(Srgb8 colour) {
    return linear_from_srgb8(colour);
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("a table of layers gives the strands that unravelling gives by hand, to the bit") {
        const TableState state = harbour_table();
        const DyeTable table = fresh(state);
        const BlankLayout& layout = table.settled().layout;
        CHECK(layout.stitches == 20);
        CHECK(layout.rows == 40);
        Paint paint;
        paint.raster = blank_raster(layout, kPixelsPerStitch);
        const LinearRgb undyed = linear(state.blank.undyed);
        paint.ground = Image(1, 1, undyed);
        for (const TableLayer& one : state.layers)
            paint.layers.push_back({one.name, drawn(one.form, paint.raster, {}),
                                    k_over_s(linear(one.colour)) - k_over_s(undyed),
                                    std::holds_alternative<Dip>(one.form) ? 1.0 : one.penetration});
        const std::vector<ColourRun> strands = by_hand(table, crept(paint, kDesignCreep));
        REQUIRE(table.strands().size() == 2);
        CHECK(same_colours(table.strands()[0], strands[0]));
        CHECK(same_colours(table.strands()[1], strands[1]));
        CHECK_FALSE(same_colours(table.strands()[0], table.strands()[1]));
    }

    TEST_CASE("a table with a picture gives the strands of the picture laid by hand") {
        TableState state = small_table();
        state.picture.emplace();
        state.picture->ground = {GroundState::Kind::colour, {0xdd, 0xcc, 0x99}};
        state.picture->penetration = 0.25;
        state.way = {QuarterTurn::clockwise_180, Mirror::left_right};
        const SourcePicture picture = small_picture();
        const DyeTable table = fresh(state, picture);
        const BlankLayout& layout = table.settled().layout;
        const Lay lay{RavelEdge::top, QuarterTurn::clockwise_180, Mirror::left_right, Fit::stretch};
        Paint paint;
        paint.raster = blank_raster(layout, kPixelsPerStitch);
        paint.ground = Image(1, 1, linear({0xdd, 0xcc, 0x99}));
        paint.penetration = 0.25;
        paint.picture = laid(light_of(picture, linear(state.blank.undyed), 1), lay, layout, paint.raster);
        const std::vector<ColourRun> strands = by_hand(table, crept(paint, kDesignCreep));
        CHECK(same_colours(table.strands()[0], strands[0]));
        CHECK(same_colours(table.strands()[1], strands[1]));
    }

    TEST_CASE("every construction, side, tail and strand count is read as unravelling reads it") {
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const Painted painted : {Painted::face, Painted::back})
                for (const Tail tail : {Tail::left, Tail::right})
                    for (const int strands : {1, 2}) {
                        TableState state = harbour_table();
                        state.blank.construction = construction;
                        if (construction == Construction::tube) state.blank.width_cm = 5.2;
                        state.blank.painted = painted;
                        state.blank.tail = tail;
                        state.blank.strands = strands;
                        const DyeTable table = fresh(state);
                        const std::vector<ColourRun> hand = by_hand(table, table.paint());
                        REQUIRE(table.strands().size() == hand.size());
                        for (std::size_t s = 0; s < hand.size(); ++s) CHECK(same_colours(table.strands()[s], hand[s]));
                    }
    }

    TEST_CASE("a brush stroke that goes on gives what the whole document gives at once, to the bit") {
        enum class On { nothing, picture, bath };
        for (const On on : {On::nothing, On::picture, On::bath}) {
            const bool with_picture = on != On::nothing;
            CAPTURE(with_picture);
            TableState state = harbour_table();
            const SourcePicture picture = with_picture ? small_picture() : SourcePicture{};
            if (with_picture) state.picture.emplace();
            if (on == On::bath) state.picture->penetration = 1;
            DyeTable table;
            if (with_picture) table.set_source(picture);
            table.apply(state);
            Brush& brush = std::get<Brush>(state.layers[2].form);
            brush.strokes.push_back(stroke({{2, 2}}, 0.8));
            const std::vector<BlankPoint> path{{0, 0}, {30, 12}, {103, 20}, {104, 159}, {50, 160}, {51, 90}, {-5, 88}};
            for (const BlankPoint& point : path) {
                brush.strokes.back().points.push_back(point);
                table.apply(state);
                REQUIRE(same_strands(table, fresh(state, picture)));
            }
            // Other changes to strokes: one that goes, one that grows wide, points taken back.
            brush.strokes.erase(brush.strokes.begin());
            table.apply(state);
            CHECK(same_strands(table, fresh(state, picture)));
            brush.strokes.front().width_cm = 2.2;
            table.apply(state);
            CHECK(same_strands(table, fresh(state, picture)));
            brush.strokes.back().points.resize(2);
            table.apply(state);
            CHECK(same_strands(table, fresh(state, picture)));
        }
    }

    TEST_CASE("a stroke touches few courses, and says which") {
        TableState state = harbour_table();
        DyeTable table = fresh(state);
        const auto before = table.versions();
        const ColourRun old = table.strands()[0];
        std::get<Brush>(state.layers[2].form).strokes.push_back(stroke({{50, 80}, {60, 82}}, 0.5));
        table.apply(state);
        CHECK(table.versions().yarn == before.yarn + 1);
        CHECK(table.versions().knitting == before.knitting);
        const CourseRange changed = table.courses_changed_since(before.yarn);
        CHECK(changed.first >= 15);
        CHECK(changed.end <= 27);
        bool any = false;
        for (std::size_t i = 0; i < old.pieces().size(); ++i)
            if (!(old.pieces()[i].colour == table.strands()[0].pieces()[i].colour)) {
                any = true;
                REQUIRE(old.pieces()[i].course >= changed.first);
                REQUIRE(old.pieces()[i].course < changed.end);
            }
        CHECK(any);
    }

    TEST_CASE("the way to a state leaves no trace") {
        const SourcePicture picture = small_picture();
        DyeTable table;
        table.set_source(picture);
        std::vector<TableState> states{harbour_table()};
        const auto next = [&]() -> TableState& { return states.emplace_back(states.back()); };
        std::swap(next().layers[0], states.back().layers[1]);
        next().layers[1].colour = {0x80, 0x20, 0x20};
        next().layers[0].strength = 0.6;
        next().layers[0].on = TableLayer::Shown::no;
        next().way = {QuarterTurn::clockwise_90, Mirror::no};
        next().picture.emplace();
        next().picture->fit = Fit::cover;
        next().picture->penetration = 1;
        next().layers[1].strength = 0.7;
        next().picture->penetration = 0.3;
        next().picture->penetration = 1;
        next().dye.creep_mm = 0;
        next().dye.wrap = 0.2;
        next().blank.undyed = {0xdd, 0xdd, 0xdd};
        next().nudge = Nudge{.scale = 0.9};
        next().layers.pop_back();
        for (TableLayer& layer : next().layers) layer.on = TableLayer::Shown::no;
        next().layers[0].on = TableLayer::Shown::yes;
        next().picture.reset();
        next().nudge.reset();
        next().blank.rows = 44;
        next().seed = 5;
        next().layers[1].id = "another";
        for (const TableState& state : states) {
            table.apply(state);
            REQUIRE(same_strands(table, fresh(state, picture)));
        }
    }

    TEST_CASE("what a change does not touch is not worked out again") {
        TableState state = harbour_table();
        DyeTable table = fresh(state);
        const auto before = table.versions();
        state.knitting.stitches = 28;
        table.apply(state);
        CHECK(table.versions().yarn == before.yarn);
        CHECK(table.versions().knitting == before.knitting + 1);
        state.title = "evening";
        state.layers[0].name = "high water";
        table.apply(state);
        CHECK(table.versions().yarn == before.yarn);
    }

    TEST_CASE("a state that cannot be leaves the last good one") {
        TableState state = harbour_table();
        DyeTable table = fresh(state);
        const ColourRun old = table.strands()[0];
        TableState bad = state;
        bad.knitting.stitches = 0;
        CHECK_THROWS_AS(table.apply(bad), Error);
        bad = state;
        bad.picture.emplace();  // of which there is none
        bad.layers.clear();
        CHECK_THROWS_AS(table.apply(bad), Error);
        bad = state;
        Prints lost;
        lost.shape = PrintShape::mask;
        lost.mask = 3;
        bad.layers.push_back(layer("lost", lost));
        CHECK_THROWS_AS(table.apply(bad), Error);
        bad = state;
        bad.blank.stitches = 300;
        bad.blank.rows = 300;
        CHECK_THROWS_AS(table.apply(bad), Error);
        CHECK(table.state() == state);
        CHECK(same_colours(table.strands()[0], old));
        std::get<Brush>(state.layers[2].form).strokes.pop_back();
        table.apply(state);
        CHECK(same_strands(table, fresh(state)));
    }

    TEST_CASE("measures are settled as for the command line") {
        TableState state;
        state.knitting.form = KnittingState::Form::plain;
        const DyeTable table = fresh(state);
        const BlankLayout usual = settled(GivenMeasures{}).layout;
        CHECK(table.settled().layout.stitches == usual.stitches);
        CHECK(table.settled().layout.loop_length == usual.loop_length);
        CHECK(table.settled().knitting.yarn_per_stitch == yarn_per_stitch(Gauge{}));
        CHECK(table.settled().assumed.size() > 4);
    }

    TEST_CASE("dyes on a picture add in K/S, and a bath wets the ground as well") {
        TableState state = small_table();
        state.picture.emplace();
        state.picture->penetration = 0;
        state.dye.creep_mm = 0;
        SourcePicture picture{4, 4, {}};
        for (int i = 0; i < 16; ++i) picture.rgba.insert(picture.rgba.end(), {0xc0, 0xb0, 0x60, 255});
        state.layers.push_back(layer("bath", Dip{Dip::Edge::ravel, 1, 0}, {0x60, 0x90, 0xa0}));
        const DyeTable table = fresh(state, picture);
        const LinearRgb undyed = linear(state.blank.undyed);
        const KOverS dye = k_over_s(linear({0x60, 0x90, 0xa0})) - k_over_s(undyed);
        const LinearRgb painted = linear_from_k_over_s(k_over_s(linear({0xc0, 0xb0, 0x60})) + dye);
        const LinearRgb beneath = linear_from_k_over_s(k_over_s(undyed) + dye);
        const Paint& paint = table.paint();
        constexpr double kRounding = 1e-12;
        const LinearRgb over = yarn_colour(paint, 50, 50, {1, 0}), under = yarn_colour(paint, 50, 50, {0, 0});
        CHECK(std::abs(over.r - painted.r) < kRounding);
        CHECK(std::abs(over.b - painted.b) < kRounding);
        CHECK(std::abs(under.r - beneath.r) < kRounding);
        CHECK(std::abs(under.g - beneath.g) < kRounding);
    }

    TEST_CASE("a picture that went all the way through is a bath: layers on it go as deep as each does") {
        constexpr double kRounding = 1e-9;
        constexpr Srgb8 kSea{0x60, 0x90, 0xa0};
        TableState bath = harbour_table();
        bath.layers[0] = layer("bath", Dip{Dip::Edge::ravel, 1, 0}, kSea);
        bath.layers[1].penetration = 0.1;
        bath.layers[2].penetration = 0.6;
        TableState picture = bath;
        picture.layers.erase(picture.layers.begin());
        picture.picture.emplace();
        picture.picture->penetration = 1;
        SourcePicture sea{4, 4, {}};
        for (int i = 0; i < 16; ++i) sea.rgba.insert(sea.rgba.end(), {kSea.r, kSea.g, kSea.b, 255});
        const DyeTable dipped = fresh(bath), pictured = fresh(picture, sea);
        double most = 0;
        for (std::size_t s = 0; s < 2; ++s)
            for (std::size_t i = 0; i < dipped.strands()[s].pieces().size(); ++i) {
                const LinearRgb a = dipped.strands()[s].pieces()[i].colour,
                                b = pictured.strands()[s].pieces()[i].colour;
                most = std::max({most, std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
            }
        CHECK(most < kRounding);
        // Painted through the stencil once more, the boats go deeper: what lies hidden in the loops is another colour.
        picture.layers[0].penetration = 0.9;
        CHECK_FALSE(same_strands(pictured, fresh(picture, sea)));
        picture.picture->penetration = 0.5;
        picture.layers.clear();
        CHECK(fresh(picture, sea).paint().picture.has_value());
    }

    TEST_CASE("a way turns layers with the design, and back again") {
        TableState state = harbour_table();
        state.layers.erase(state.layers.begin());
        state.layers.erase(state.layers.begin());
        const DyeTable upright = fresh(state);
        state.way = {QuarterTurn::clockwise_180, Mirror::left_right};
        const DyeTable turned = fresh(state);
        CHECK_FALSE(same_strands(upright, turned));
        const Plane &a = upright.paint().layers[0].amount, &b = turned.paint().layers[0].amount;
        double worst = 0;  // turned by 180 and mirrored left-right: upside down
        for (int row = 0; row < a.rows(); ++row)
            for (int column = 0; column < a.columns(); ++column)
                worst = std::max(worst, std::abs(a(row, column) - b(a.rows() - 1 - row, column)));
        CHECK(worst < 1e-12);
        // Written down while the design lay so, it lies as it was written.
        state.layers[0].laid_as = state.way;
        CHECK(same_strands(upright, fresh(state)));
    }

    TEST_CASE("the turn between two ways leads from the one to the other") {
        for (int a = 0; a < 8; ++a)
            for (int b = 0; b < 8; ++b) {
                const auto way = [](int i) {
                    return LaidAs{static_cast<QuarterTurn>(i % 4), i < 4 ? Mirror::no : Mirror::left_right};
                };
                const auto as_laid = [](const Grid<int>& grid, const LaidAs& way_laid) {
                    const Grid<int> out = turned(grid, way_laid.rotate);
                    return way_laid.mirror == Mirror::no ? out : mirrored(out);
                };
                Grid<int> design(2, 3);
                int count = 0;
                for (int& cell : design) cell = count++;
                CHECK(as_laid(as_laid(design, way(a)), turn_between(way(a), way(b))) == as_laid(design, way(b)));
            }
    }

    TEST_CASE("the far end first means the runs turned round") {
        TableState state = harbour_table();
        DyeTable table = fresh(state);
        const ColourRun first = table.runs()[0];
        state.knitting.from = KnittingState::From::far_end;
        table.apply(state);
        CHECK(same_colours(table.strands()[0], first));
        CHECK(same_colours(table.runs()[0], first.reversed()));
        std::get<Brush>(state.layers[2].form).strokes.pop_back();
        table.apply(state);
        CHECK(same_colours(table.runs()[1], table.strands()[1].reversed()));
    }

    TEST_CASE("what is told is what the shares say of the same yarn") {
        TableState state = harbour_table();
        const DyeTable table = fresh(state);
        const Told told = loopread::told(table);
        const TableKnitting& knitting = table.settled().knitting;
        REQUIRE(told.balls.size() == 2);
        for (std::size_t s = 0; s < 2; ++s) {
            const int rounds =
                static_cast<int>(table.strands()[s].length_mm() / knitting.yarn_per_round().value + 1e-9);
            const Shares by_hand =
                shares(plain_rounds(knitted(table.strands()[s], tube(24, rounds), knitting.yarn_per_stitch)));
            CHECK(told.balls[s].look.shares.stripe == by_hand.stripe);
            CHECK(told.balls[s].look.shares.pool == by_hand.pool);
        }
        REQUIRE(told.pair.has_value());
        CHECK(told.pair->own.mean_de00 == pair_difference(table.strands()[0], table.strands()[1]).mean_de00);
        REQUIRE(told.layers.size() == 3);
        for (const ToldLayer& layer_told : told.layers) CHECK(layer_told.contrast_l < -5);  // dyes darken
    }

    TEST_CASE("a layer as it lies is its full amount times its strength, brushed on or turned") {
        DyeTable table;
        TableState state = harbour_table();
        for (std::size_t i = 0; i < state.layers.size(); ++i)
            state.layers[i].strength = 0.9 - 0.3 * static_cast<double>(i);
        state.layers[1].on = TableLayer::Shown::no;
        const auto check = [&] {
            table.apply(state);
            std::vector<const TableLayer*> on;
            for (const TableLayer& layer : state.layers)
                if (layer.on == TableLayer::Shown::yes) on.push_back(&layer);
            const std::vector<const Plane*> laid = table.laid_layers();
            REQUIRE(laid.size() == on.size());
            for (std::size_t i = 0; i < on.size(); ++i) {
                Plane wanted = table.layer_amount(*on[i]);
                for (double& amount : wanted) amount *= on[i]->strength;
                CHECK(std::equal(wanted.begin(), wanted.end(), laid[i]->begin(), laid[i]->end()));
            }
        };
        check();
        std::get<Brush>(state.layers[2].form).strokes.back().points.push_back({70, 140});
        check();
        state.layers[1].on = TableLayer::Shown::yes;
        state.way.rotate = QuarterTurn::clockwise_90;
        check();
    }

    TEST_CASE("a count that makes no sock is shown as plain knitting, with the reason") {
        TableState state;
        state.knitting.stitches = 66;
        const DyeTable table = fresh(state);
        CHECK_FALSE(table.settled().knitting.sock.has_value());
        REQUIRE(table.settled().warnings.size() == 1);
        CHECK(table.settled().warnings[0].find("plain knitting") != std::string::npos);
        state.knitting.stitches = 64;
        CHECK(fresh(state).settled().knitting.sock.has_value());
    }

    TEST_CASE("corners flatten a picture taken askew") {
        // A picture that is itself a projective view of four quarters: each must fill its quarter.
        SourcePicture photo{200, 200, {}};
        const std::vector<PicturePoint> corners{{40, 20}, {170, 40}, {150, 180}, {20, 150}};
        const Image flat = [&] {
            for (int y = 0; y < 200; ++y)
                for (int x = 0; x < 200; ++x)
                    photo.rgba.insert(photo.rgba.end(),
                                      {static_cast<std::uint8_t>(x), static_cast<std::uint8_t>(y), 0, 255});
            return flattened(light_of(photo, {}, 1), corners, 1);
        }();
        // The corners' own colours say where they were.
        const auto place = [&](int row, int column) {
            const Srgb8 colour = srgb8_from_linear(flat(row, column));
            return PicturePoint{static_cast<double>(colour.r), static_cast<double>(colour.g)};
        };
        const int bottom = flat.rows() - 1, right = flat.columns() - 1;
        constexpr double kPixels = 2;  // half a pixel of the flat picture each way, and a code
        CHECK(std::abs(place(0, 0).x - 40) < kPixels);
        CHECK(std::abs(place(0, 0).y - 20) < kPixels);
        CHECK(std::abs(place(0, right).x - 170) < kPixels);
        CHECK(std::abs(place(bottom, right).y - 180) < kPixels);
        CHECK(std::abs(place(bottom, 0).x - 20) < kPixels);
        // Diagonals meet where they do in the photo: the middle of a projective view, not the mean of its corners.
        const PicturePoint middle = place(flat.rows() / 2, flat.columns() / 2);
        // First diagonal (40,20)-(150,180), second (170,40)-(20,150).
        const double d1x = 110, d1y = 160, d2x = -150, d2y = 110;
        const double t = ((170 - 40) * d2y - (40 - 20) * d2x) / (d1x * d2y - d1y * d2x);
        CHECK(std::abs(middle.x - (40 + t * d1x)) < kPixels);
        CHECK(std::abs(middle.y - (20 + t * d1y)) < kPixels);
        CHECK_THROWS_AS(flat_size({{0, 0}, {0, 10}, {10, 10}, {10, 0}}), Error);  // the wrong way round
        CHECK_THROWS_AS(flat_size({{0, 0}, {10, 0}, {2, 2}, {0, 10}}), Error);    // with a dent
    }
}
