#include "loopread/contrast/borders.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "loopread/overdye/ground.h"

using namespace loopread;

namespace {

LinearRgb of_lightness(double l) {
    return linear_from_lab({l, 0, 0});
}

/// Upright stripes of one width.
Image stripes(const std::vector<LinearRgb>& colours, int width, int rows) {
    Image picture(rows, width * static_cast<int>(colours.size()));
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < picture.columns(); ++column)
            picture(row, column) = colours[static_cast<std::size_t>(column / width)];
    return picture;
}

struct Read {
    Patches patches;
    std::vector<BorderPoint> points;
    std::vector<NeighbourPair> pairs;
};
Read read(const Image& picture) {
    Read found{patches_of(picture, 8, 1), {}, {}};
    found.points = border_points(picture, found.patches, kLostUnder);
    found.pairs = neighbour_pairs(found.points, found.patches, kLostUnder);
    return found;
}

}  // namespace

TEST_SUITE("contrast") {
    TEST_CASE("pairs are told by their border, darker first, with their own verdict") {
        // dark | middle | near middle | light: one pair of the three is too near in L*
        const Read found = read(
            stripes({of_lightness(20), linear_from_lab({50, 40, 0}), linear_from_lab({55, -30, 0}), of_lightness(90)},
                    30, 100));
        REQUIRE(found.patches.colours.size() == 4);
        REQUIRE(found.pairs.size() == 3);
        int lost = 0;
        for (const NeighbourPair& pair : found.pairs) {
            CHECK(pair.border_share == doctest::Approx(1.0 / 3));
            CHECK(pair.edge_share == 1);
            const double darker = lab_from_linear(found.patches.colours[pair.darker].colour).l;
            const double lighter = lab_from_linear(found.patches.colours[pair.lighter].colour).l;
            CHECK(darker < lighter);
            CHECK(pair.apart.delta_l == doctest::Approx(lighter - darker).epsilon(0.05));
            if (pair.verdict != PairVerdict::lost) continue;
            ++lost;
            CHECK(pair.apart.delta_l == doctest::Approx(5).epsilon(0.1));
            CHECK(pair.apart.hue_tells);
            CHECK(pair.lost_share == 1);
        }
        CHECK(lost == 1);
    }

    TEST_CASE("a fade has borders of colours but no edges") {
        const BlankRaster raster{.rows = 900, .columns = 60, .mm_per_column = 0.65, .mm_per_row = 0.65};
        const std::vector<LinearRgb> hues{of_lightness(30), of_lightness(90)};
        const Read found = read(faded_ground(hues, GroundAs::along, raster));
        REQUIRE(found.pairs.size() >= 3);
        for (const NeighbourPair& pair : found.pairs) CHECK(pair.verdict == PairVerdict::fade);
        CHECK(lost_lines(found.points).empty());
    }

    TEST_CASE("on a fading ground an edge is lost just where the ground comes near the motif") {
        const BlankRaster raster{.rows = 900, .columns = 60, .mm_per_column = 0.65, .mm_per_row = 0.65};
        const std::vector<LinearRgb> hues{of_lightness(30), of_lightness(90)};
        Image picture = faded_ground(hues, GroundAs::along, raster);
        for (int row = 0; row < 900; ++row)
            for (int column = 20; column < 40; ++column) picture(row, column) = linear_from_lab({60, 50, 20});
        const Read found = read(picture);
        int marked = 0;
        for (const EdgeLine& line : lost_lines(found.points))
            for (const PixelPlace& p : line) {
                ++marked;
                CHECK(std::abs(lab_from_linear(picture(std::min(p.row, 899), 0)).l - 60) < kLostUnder + 0.5);
            }
        CHECK(marked > 100);
    }

    TEST_CASE("a thin line is read in its own middle, not beyond it") {
        Image picture(100, 100, of_lightness(80));
        for (int row = 0; row < 100; ++row)
            for (int column = 50; column < 53; ++column) picture(row, column) = of_lightness(40);
        const Read found = read(picture);
        REQUIRE(found.pairs.size() == 1);
        CHECK(found.pairs[0].verdict == PairVerdict::holds);
        CHECK(found.pairs[0].lost_share == 0);
        for (const BorderPoint& point : found.points) CHECK(point.apart.delta_l == doctest::Approx(40).epsilon(0.01));
    }

    TEST_CASE("lost edges are traced whole: a square's outline is one line that closes") {
        Image picture(100, 100, linear_from_lab({60, 40, 0}));
        for (int row = 20; row < 60; ++row)
            for (int column = 30; column < 80; ++column) picture(row, column) = linear_from_lab({60, -40, 0});
        const std::vector<EdgeLine> lines = lost_lines(read(picture).points);
        REQUIRE(lines.size() == 1);
        CHECK(lines[0].size() == 2 * (40 + 50) + 1);
        CHECK(lines[0].front().row == lines[0].back().row);
        CHECK(lines[0].front().column == lines[0].back().column);
        for (std::size_t i = 1; i < lines[0].size(); ++i)
            CHECK(std::abs(lines[0][i].row - lines[0][i - 1].row) +
                      std::abs(lines[0][i].column - lines[0][i - 1].column) ==
                  1);
    }
}
