#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "loopread/base/error.h"
#include "loopread/colour/difference.h"
#include "loopread/table/places.h"
#include "table/table_scene.h"

using namespace loopread;

TEST_SUITE("table") {
    TEST_CASE("from blank to yarn and back is the same loop, for every loop") {
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const Tail tail : {Tail::left, Tail::right}) {
                TableState state = small_table();
                state.blank.construction = construction;
                state.blank.tail = tail;
                if (construction == Construction::tube) state.blank.width_cm = 5.2;
                DyeTable table;
                table.apply(state);
                const BlankLayout& layout = table.settled().layout;
                const TablePlaces places(table);
                for (int row = 0; row < layout.rows; ++row)
                    for (int stitch = 0; stitch < layout.columns(); ++stitch) {
                        const auto loop = places.loop_under((stitch + 0.3) * layout.wale_spacing.value,
                                                            (row + 0.8) * layout.course_spacing.value);
                        REQUIRE(loop.has_value());
                        REQUIRE(loop->row == row);
                        REQUIRE(loop->stitch == stitch);
                        const auto yarn = places.yarn_of(*loop);
                        const BlankLoop back = places.loop_of((yarn.from_mm + yarn.to_mm) / 2);
                        REQUIRE(back.row == row);
                        REQUIRE(back.stitch == stitch);
                        REQUIRE(back.layer == Layer::painted);
                        // The run itself says so too.
                        const Piece& piece =
                            table.strands()[0].pieces()[table.strands()[0].piece_at((yarn.from_mm + yarn.to_mm) / 2)];
                        REQUIRE(piece.course == row);
                    }
                CHECK_FALSE(places.loop_under(-1, 5).has_value());
                CHECK_FALSE(places.loop_under(5, layout.length().value + 1).has_value());
            }
    }

    TEST_CASE("from fabric to yarn and back is the same stitch, from either end") {
        for (const auto from : {KnittingState::From::ravel_end, KnittingState::From::far_end}) {
            TableState state = harbour_table();
            state.knitting.from = from;
            DyeTable table;
            table.apply(state);
            const TablePlaces places(table);
            const TableKnitting& knitting = table.settled().knitting;
            const Fabric fabric = plain_fabric(table.runs()[0], knitting.plain());
            std::size_t found = 0;
            for (int round = 0; round < 60; ++round)
                for (int stitch = 0; stitch < knitting.stitches; ++stitch) {
                    const auto yarn = places.yarn_of(PlainStitch{round, stitch});
                    if (!yarn) continue;
                    const double middle = (yarn->from_mm + yarn->to_mm) / 2;
                    const auto back = places.plain_stitch(middle);
                    REQUIRE(back.has_value());
                    REQUIRE(back->round == round);
                    REQUIRE(back->stitch == stitch);
                    // Its colour is that of the yarn there.
                    const std::size_t i = static_cast<std::size_t>(round * knitting.stitches + stitch);
                    if (i >= fabric.stitches.size()) continue;
                    ++found;
                    const double knitted_from = static_cast<double>(i) * knitting.yarn_per_stitch.value;
                    const LinearRgb colour =
                        stitch_colour(table.runs()[0], knitted_from, knitting.yarn_per_stitch.value);
                    REQUIRE(std::abs(colour.r - fabric.stitches[i].r) < 1e-12);
                }
            CHECK(found == fabric.stitches.size());
            CHECK_FALSE(places.yarn_of(PlainStitch{100'000, 0}).has_value());
        }
    }

    TEST_CASE("half the grams is half the yarn") {
        DyeTable table;
        TableState state;
        state.layers.push_back(layer("bands", Bands{}));
        table.apply(state);
        const Weighed half = weighed(table, {1, 25, 50});
        CHECK(half.used_m == doctest::Approx(105.5));
        CHECK(half.left_m == doctest::Approx(105.5));
        CHECK(half.loop.row == 107);  // of 214
        REQUIRE(half.sock.has_value());
        CHECK_FALSE(half.coming.empty());
        double coming = 0;
        for (const Weighed::Coming& next : half.coming) coming += next.length_mm;
        CHECK(coming <= 105'500 + 1);
        CHECK(weighed(table, {2, 50, 50}).used_m == 0);
        CHECK(weighed(table, {2, 50, 50}).loop.row == 0);
        CHECK(weighed(table, {1, 0, 50}).left_m == 0);
        CHECK(weighed(table, {1, 0, 50}).loop.row == 213);
        state.knitting.from = KnittingState::From::far_end;
        table.apply(state);
        CHECK(weighed(table, {1, 50, 50}).loop.row == 213);
        CHECK_THROWS_AS(weighed(table, {1, 60, 50}), Error);
        CHECK_THROWS_AS(weighed(table, {3, 10, 50}), Error);
    }

    TEST_CASE("what comes next are stretches that a knitter tells apart, of all the yarn that is left") {
        // Boats over a dip, of which half reaches hidden yarn: flecked all over.
        DyeTable table;
        TableState state = harbour_table();
        state.blank = {};
        state.knitting = {};
        table.apply(state);
        constexpr double kFleckMm = 80;  // stated in places.cpp
        constexpr double kAlike = 5;     // CIEDE2000
        int flecked = 0;
        for (const double grams : {50.0, 37.5, 22.0, 6.0}) {
            const Weighed weighed = loopread::weighed(table, {1, grams, 50});
            CAPTURE(grams);
            REQUIRE_FALSE(weighed.coming.empty());
            for (std::size_t i = 0; i < weighed.coming.size(); ++i) {
                const Weighed::Coming& next = weighed.coming[i];
                CAPTURE(i);
                if (weighed.coming.size() > 1) CHECK(next.length_mm >= kFleckMm);
                if (i > 0)
                    CHECK(delta_e_2000(lab_from_linear(next.colour), lab_from_linear(weighed.coming[i - 1].colour)) >=
                          kAlike);
                if (!next.flecked_with) continue;
                ++flecked;
                CHECK(next.flecked_with->name != next.name);
                CHECK(delta_e_2000(lab_from_linear(next.colour), lab_from_linear(next.flecked_with->colour)) >= kAlike);
            }
        }
        CHECK(flecked > 0);
        double sum = 0;
        const Weighed last = weighed(table, {1, 1, 50});  // 4.22 m
        for (const Weighed::Coming& next : last.coming) sum += next.length_mm;
        CHECK(sum <= 1000 * last.left_m + 1e-6);
        if (last.coming.size() < 6) CHECK(sum == doctest::Approx(1000 * last.left_m));
    }

    TEST_CASE("bands wider than a fleck stay colours of their own") {
        DyeTable table;
        TableState state;
        Bands bands;
        bands.width_cm = bands.gap_cm = 4;
        bands.soft_cm = 0;
        TableLayer dyed = layer("bands", bands);
        dyed.penetration = 1;
        state.layers.push_back(dyed);
        state.dye.creep_mm = 0;
        table.apply(state);
        const Weighed all = weighed(table, {1, 50, 50});
        // 4 cm of the blank's 86 hold 4/86 of its 211 m; the first band begins at the edge. A row of ten at either side
        // lies half in the band, and is a stretch of its own.
        const double band_mm = 211'000 * 4 / 86.0;
        constexpr double kTwoRows = 0.2;
        std::vector<Weighed::Coming> wide;
        for (const Weighed::Coming& next : all.coming)
            if (next.length_mm > band_mm / 2) wide.push_back(next);
        REQUIRE(wide.size() >= 2);
        for (const Weighed::Coming& next : wide) CHECK(next.length_mm == doctest::Approx(band_mm).epsilon(kTwoRows));
        for (std::size_t i = 1; i < wide.size(); ++i) CHECK(wide[i].name != wide[i - 1].name);
    }

    TEST_CASE("a place of the sock leads to its yarn and back") {
        DyeTable table;
        table.apply(TableState{});
        SockPlaces socks;
        const double yarn = table.settled().knitting.yarn_per_stitch.value;
        int seen = 0, hidden = 0;
        const long long all = total_stitches(*table.settled().knitting.sock);
        for (long long stitch = 5; stitch < all; stitch += 97) {
            const double mm = (static_cast<double>(stitch) + 0.5) * yarn;
            const auto point = socks.point_of(table, mm);
            if (!point) {
                ++hidden;
                continue;
            }
            ++seen;
            const auto back = socks.knitted_mm(table, *point);
            REQUIRE(back.has_value());
            CHECK(std::abs(*back - mm) < 0.01 * yarn);
        }
        // About half of a sock lies underneath.
        CHECK(seen > all / 97 / 3);
        CHECK(hidden > all / 97 / 4);
        CHECK_FALSE(socks.knitted_mm(table, {30, -30}).has_value());
        // It lies where it is drawn: a short stretch of dyed yarn shows there.
        TableState marked;
        marked.blank.strands = 1;
        marked.dye.creep_mm = 0;
        marked.layers.push_back(layer("mark", Brush{{stroke({{60, 160}, {180, 160}}, 2)}}, {0x10, 0x10, 0x40}));
        marked.layers[0].penetration = 1;
        table.apply(marked);
        SockRequest request;
        request.box = {700, 900};
        request.balls = {1};
        request.drawing = Drawing::lively;
        const SockPicture picture = sock_picture(table, request);
        int looked = 0;
        for (double mm = 30'000; mm < 60'000; mm += yarn) {
            const LinearRgb colour = table.runs()[0].mean(mm - yarn, mm + yarn);
            const auto point = socks.point_of(table, mm);
            if (colour.r > 0.04 || !point) continue;  // wholly dyed, and on top
            const int x = static_cast<int>(picture.picture.width / 2.0 + point->x_cm * picture.pixels_per_cm);
            const int y = static_cast<int>(picture.picture.height / 2.0 + point->y_cm * picture.pixels_per_cm);
            int darkest = 255;
            for (int dy = -2; dy <= 2; ++dy)
                for (int dx = -2; dx <= 2; ++dx)
                    darkest = std::min<int>(
                        darkest,
                        picture.picture.rgba[4 * static_cast<std::size_t>((y + dy) * picture.picture.width + x + dx)]);
            CHECK(darkest < 90);
            ++looked;
        }
        CHECK(looked > 5);
    }
}
