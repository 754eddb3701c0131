#include "loopread/shape/garments.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <string>

#include "loopread/base/error.h"

namespace loopread {
namespace {

std::string fault_of(std::string_view shape, const GarmentSize& size) {
    try {
        garment(shape, size);
    } catch (const Error& error) {
        CHECK(error.kind() == ErrorKind::usage);
        return error.what();
    }
    return {};
}

bool names(const std::string& fault, const std::string& word) {
    return fault.find(word) != std::string::npos;
}

}  // namespace

TEST_SUITE("shape") {
    TEST_CASE("a tube is so many rounds of so many stitches, down to one of one") {
        CHECK(total_stitches(tube(64, 120)) == 64 * 120);
        CHECK(total_stitches(tube(1, 1)) == 1);
        for (const Round& round : tube(64, 3).rounds) {
            CHECK(round.worked == Worked::in_the_round);
            CHECK(round.runs == Runs::on);
            CHECK(counts_for_pooling(round));
        }
    }

    TEST_CASE("rows of a flat piece run to and fro") {
        const Garment piece = flat(10, 4);
        REQUIRE(piece.rounds.size() == 4);
        CHECK(piece.rounds[0].runs == Runs::on);
        CHECK(piece.rounds[1].runs == Runs::back);
        CHECK(piece.rounds[2].runs == Runs::on);
        CHECK(column_of(piece.rounds[0], 9) == column_of(piece.rounds[1], 0));
        CHECK(column_of(piece.rounds[0], 0) == column_of(piece.rounds[1], 9));
    }

    TEST_CASE("odd rows of every stretch worked back and forth run back, and only they") {
        for (const std::string_view name : shape_names())
            for (const Start start : {Start::cuff, Start::toe})
                for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought}) {
                    CAPTURE(name);
                    int row = 0;
                    for (const Round& round : garment(name, {.sock = {.start = start, .heel = heel}}).rounds) {
                        row = round.worked == Worked::back_and_forth ? row + 1 : 0;
                        REQUIRE((round.runs == Runs::back) == (row > 0 && row % 2 == 0));
                    }
                }
    }

    // Usual cast-ons at fingering weight: common practice, no source.
    TEST_CASE("unasked, garments have their usual widths") {
        struct Row {
            std::string_view name;
            Gauge gauge;
            int least, most;
        };
        for (const Row& row : {Row{"hat", {28, 40}, 136, 152}, Row{"scarf", {28, 40}, 56, 72},
                               Row{"cowl", {28, 40}, 156, 180}, Row{"shawl", {28, 40}, 250, 400}}) {
            CAPTURE(row.name);
            int widest = 0;
            for (const Round& round : garment(row.name, {.gauge = row.gauge}).rounds)
                widest = std::max(widest, round.stitches);
            CHECK(widest >= row.least);
            CHECK(widest <= row.most);
        }
    }

    TEST_CASE("a hat's crown loses 8 stitches every other round until 8 are left") {
        const Garment hat = garment("hat", {.stitches = 144, .rounds = 40});
        CHECK(rounds_in(hat, Section::body) == 40);
        CHECK(rounds_in(hat, Section::crown) == 2 * (144 - 8) / 8);
        CHECK(stitches_in(hat, Section::crown) == 2 * 8 * (17 * 18 / 2));
        CHECK(hat.rounds.back().stitches == 8);
        CHECK(hat.rounds.front().texture == Texture::rib);
    }

    TEST_CASE("each row of a shawl is two stitches longer, centred, and none counts for pooling") {
        const Garment shawl = garment("shawl", {.stitches = 301});
        CHECK(shawl.rounds.front().stitches == 7);
        CHECK(shawl.rounds.back().stitches == 301);
        CHECK(total_stitches(shawl) == 148 * (7 + 301) / 2);
        for (std::size_t row = 1; row < shawl.rounds.size(); ++row) {
            CHECK(shawl.rounds[row].stitches == shawl.rounds[row - 1].stitches + 2);
            CHECK(shawl.rounds[row].columns_from == shawl.rounds[row - 1].columns_from - 1);
        }
        CHECK(std::none_of(shawl.rounds.begin(), shawl.rounds.end(), counts_for_pooling));
        CHECK(garment("shawl", {.rounds = 200}).rounds.size() == 201);
        CHECK(garment("shawl", {.stitches = 300}).rounds.back().stitches == 299);
    }

    TEST_CASE("a new garment needs no more than an entry in the table") {
        const Pattern mitt{.name = "mitt",
                           .least = 8,
                           .stretches = {{.section = Section::brim, .cm = 5},
                                         {.section = Section::body, .change = 2, .every = 3, .until = 60},
                                         {.section = Section::body, .extent = Extent::asked, .cm = 4},
                                         {.section = Section::crown, .change = -4, .until = 12}}};
        const Garment made = garment(mitt, {.stitches = 48, .rounds = 10, .gauge = {32, 40}});
        CHECK(rounds_in(made, Section::brim) == 20);
        CHECK(rounds_in(made, Section::body) == 3 * 6 + 10);
        CHECK(stitches_in(made, Section::body) == 3 * (50 + 52 + 54 + 56 + 58 + 60) + 10 * 60);
        CHECK(rounds_in(made, Section::crown) == 12);
        CHECK(made.rounds.back().stitches == 12);
    }

    TEST_CASE("only plain full-width rounds of a sock count for pooling") {
        const Garment made = garment("sock", {.stitches = 64});
        CHECK(std::count_if(made.rounds.begin(), made.rounds.end(), counts_for_pooling) == 60 + 50);
        for (const Round& round : made.rounds)
            if (counts_for_pooling(round)) CHECK(round.stitches == 64);
    }

    TEST_CASE("a garment that cannot be knitted says why and what could be") {
        CHECK(names(fault_of("glove", {}), "sock, tube, flat, hat, scarf, cowl, shawl"));
        CHECK(names(fault_of("", {}), "unknown shape"));
        CHECK(names(fault_of("tube", {.stitches = 0}), "give 1 to"));
        CHECK(names(fault_of("flat", {.rounds = 0}), "--rounds 0"));
        CHECK(names(fault_of("tube", {.rounds = 2'000'000'000}), "--rounds 2000000000"));
        CHECK(names(fault_of("hat", {.stitches = 8}), "give 16 to"));
        CHECK(names(fault_of("shawl", {.stitches = 7}), "give 9 to"));
        CHECK(names(fault_of("sock", {.rounds = 100}), "--foot-length"));
        for (const std::string_view name : shape_names()) {
            CAPTURE(name);
            CHECK(names(fault_of(name, {.gauge = {.stitches = 0}}), "--gauge"));
            CHECK(names(fault_of(name, {.gauge = {.rows = 0}}), "--gauge"));
            CHECK(names(fault_of(name, {.gauge = {.rows = std::numeric_limits<double>::quiet_NaN()}}), "--gauge"));
            CHECK(fault_of(name, {}).empty());
            CHECK(fault_of(name, {.gauge = {.stitches = 200, .rows = 200}}).empty());
            CHECK(fault_of(name, {.stitches = 24, .gauge = {.stitches = 1, .rows = 1}}).empty());
        }
    }
}

}  // namespace loopread
