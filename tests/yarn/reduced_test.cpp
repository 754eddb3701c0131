#include "loopread/yarn/reduced.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

using namespace loopread;

namespace {

LinearRgb light(const char* hex) {
    return linear_from_srgb8(parsed_hex(hex).value());
}

std::vector<PaletteColour> cream_and_blue() {
    return {{light("#f3ede0"), 0.5, "off-white"}, {light("#1d4f9f"), 0.5, "blue"}};
}

/// Stretches of colour, cut into pieces of 5 mm.
ColourRun run_of(const std::vector<std::pair<const char*, double>>& stretches) {
    constexpr double kPieceMm = 5;
    std::vector<Piece> pieces;
    double start = 0;
    for (const auto& [hex, length_mm] : stretches)
        for (double done = 0; done < length_mm; done += kPieceMm, start += kPieceMm)
            pieces.push_back({start, kPieceMm, 0, 0, Part::sinker, light(hex)});
    return ColourRun(pieces);
}

/// Loops of paint with a fleck of ground in each, then loops of ground.
ColourRun flecked() {
    std::vector<std::pair<const char*, double>> stretches;
    for (int loop = 0; loop < 20; ++loop) {
        stretches.push_back({"#1d4f9f", 15});
        stretches.push_back({"#f3ede0", 5});
    }
    stretches.push_back({"#f3ede0", 200});
    return run_of(stretches);
}

}  // namespace

TEST_SUITE("yarn") {
    TEST_CASE("flat stretches come back, their ends within half a window") {
        const ColourRun strand = run_of({{"#1d4f9f", 100}, {"#f3ede0", 60}, {"#1d4f9f", 40}});
        const double starts[] = {0, 100, 160}, ends[] = {100, 160, 200};
        const std::size_t colours[] = {1, 0, 1};
        for (const double window : {1.0, 20.0}) {
            CAPTURE(window);
            const double allowed = window / 2;
            const std::vector<PaletteRun> runs = reduced(strand, cream_and_blue(), window);
            REQUIRE(runs.size() == 3);
            for (std::size_t i = 0; i < 3; ++i) {
                CHECK(std::abs(runs[i].start_mm - starts[i]) <= allowed);
                CHECK(std::abs(runs[i].start_mm + runs[i].length_mm - ends[i]) <= allowed);
                CHECK(runs[i].colour == colours[i]);
            }
        }
    }

    TEST_CASE("flecks cut a run only where the window is narrower than a loop") {
        CHECK(reduced(flecked(), cream_and_blue(), 1).size() == 40);
        const std::vector<PaletteRun> runs = reduced(flecked(), cream_and_blue(), 20);
        REQUIRE(runs.size() == 2);
        CHECK(runs[0].colour == 1);
        CHECK(runs[1].colour == 0);
        CHECK(std::abs(runs[1].start_mm - 400) <= 10);  // half a window
    }

    TEST_CASE("the runs cover the strand and neighbours differ") {
        const ColourRun strand = run_of({{"#1d4f9f", 35}, {"#b8272d", 5}, {"#f3ede0", 15}, {"#2c7a3e", 10}});
        const std::vector<PaletteColour> palette = yarn_palette({strand}, 4, 1);
        for (const double window : {0.5, 5.0, 12.0, 50.0, 1000.0}) {
            CAPTURE(window);
            double end = 0;
            std::size_t last = palette.size();
            for (const PaletteRun& run : reduced(strand, palette, window)) {
                CHECK(run.start_mm == doctest::Approx(end));
                CHECK(run.length_mm > 0);
                CHECK(run.colour != last);
                last = run.colour;
                end = run.start_mm + run.length_mm;
            }
            CHECK(end == doctest::Approx(65));
        }
    }

    TEST_CASE("runs.csv gives strand, metres, centimetres and colour") {
        const ColourRun one = run_of({{"#1d4f9f", 1250}, {"#f3ede0", 500}});
        const ColourRun two = run_of({{"#f3ede0", 1005}});
        CHECK(runs_csv({one, two}, cream_and_blue(), 5) ==
              "strand,start_m,length_cm,colour,hex\n"
              "1,0.000,125.0,blue,#1d4f9f\n"
              "1,1.250,50.0,off-white,#f3ede0\n"
              "2,0.000,100.5,off-white,#f3ede0\n");
    }

    TEST_CASE("the palette of the yarn weighs by length, all strands together") {
        const ColourRun one(
            {{0, 30, 0, 0, Part::sinker, light("#1d4f9f")}, {30, 10, 0, 0, Part::leg1, light("#f3ede0")}});
        const ColourRun two({{0, 60, 0, 0, Part::sinker, light("#f3ede0")}});
        const std::vector<PaletteColour> palette = yarn_palette({one, two}, 5, 1);
        REQUIRE(palette.size() == 2);
        CHECK(palette[0].words == "off-white");
        CHECK(palette[0].share == doctest::Approx(0.7));
        CHECK(palette[1].share == doctest::Approx(0.3));
    }

    TEST_CASE("no palette and no window are broken contracts") {
        CHECK_THROWS_AS(reduced(flecked(), {}, 20), std::logic_error);
        CHECK_THROWS_AS(reduced(flecked(), cream_and_blue(), 0), std::logic_error);
        CHECK(reduced(ColourRun(), cream_and_blue(), 20).empty());
    }
}
