#include "loopread/compare/ground.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "base/words_in.h"
#include "compare/distance.h"
#include "compare/dyed_scene.h"
#include "compare/unmixed.h"

using namespace loopread;
using namespace loopread::dyed_scene;

namespace {

constexpr double kShareOff = 0.01;  // of the motif's dye: the limit from which dye is told

/// Red stencils on a blue ground.
DyedPiece red_on_blue() {
    DyedPiece piece;
    piece.ground = {0.25, 0.4, 0.5};
    piece.motif = {0.35, 0.05, 0.06};
    piece.noise = 0.01;
    return piece;
}
/// Navy stencils on undyed wool.
DyedPiece navy_on_undyed() {
    DyedPiece piece;
    piece.noise = 0.01;
    return piece;
}

GroundReading read(const DyedPiece& piece) {
    const DyedPicture picture = plain_picture(plain(piece, 0.5), {piece.width, piece.height});
    const std::vector<EdgePiece> edges = edge_pieces(picture, main_colour(picture));
    return ground_reading(picture, {piece.ground, piece.motif, median_width(edges)});
}

GroundChange change(const DyedPiece& before, DyedPiece after, const GroundOptions& options = {}) {
    after.seed = before.seed + 1;
    return ground_change(read(before), read(after), options);
}

}  // namespace

TEST_SUITE("compare") {
    TEST_CASE("five in a hundred of the stencil's dye in the ground are found, and none is not") {
        for (const DyedPiece& before : {red_on_blue(), navy_on_undyed()}) {
            const GroundChange none = change(before, before);
            CAPTURE(none.why);
            CHECK(none.verdict == Change::no_change_seen);
            CHECK(none.delta_e00 < 0.5);
            DyedPiece after = before;
            after.stencil_in_ground = 0.05;
            const GroundChange all_over = change(before, after);
            CHECK(all_over.verdict == Change::softened);
            REQUIRE(all_over.far.has_value());
            CHECK(std::abs(all_over.far->value - 0.05) < kShareOff);
            CHECK(has(all_over.why, "all over"));
            after.stencil_in_ground = 0;
            after.halo = 0.1;  // at the edge a tenth, half as much at the far end of the ring
            const GroundChange halo = change(before, after);
            CHECK(halo.verdict == Change::softened);
            REQUIRE(halo.beside.has_value());
            CHECK(halo.beside->value > 0.03);
            CHECK(halo.beside->low > 0.01);
            CHECK(has(halo.why, "beside"));
        }
    }

    TEST_CASE("softer edges alone, and another exposure alone, are no dye in the ground") {
        DyedPiece pale = navy_on_undyed();  // of which five in a hundred are what a twentieth less light looks like
        pale.motif = {0.25, 0.3, 0.3};
        for (const DyedPiece& before : {red_on_blue(), navy_on_undyed(), pale}) {
            DyedPiece after = before;
            after.sigma = 1.6;
            CHECK(change(before, after).verdict == Change::no_change_seen);
            for (const double gain : {0.95, 1.05}) {
                after = before;
                after.gain = gain;
                CHECK(change(before, after).verdict != Change::softened);
            }
        }
    }

    TEST_CASE("the distance at which stencil dye falls to a tenth grows with what bled") {
        DyedPiece before = navy_on_undyed(), after = before;
        after.mixing = before.mixing = DyedPiece::Mixing::dye;
        after.sigma = 3;
        const GroundReading one = read(before), other = read(after);
        REQUIRE(one.ten_percent_mm.has_value());
        REQUIRE(other.ten_percent_mm.has_value());
        // 10 % of a Gaussian edge lies 1.2816 sigma out; cells are 1.5 mm
        constexpr double kCellMm = 1.5;
        CHECK(std::abs(*other.ten_percent_mm - 1.2816 * after.sigma) < kCellMm);
        CHECK(*other.ten_percent_mm > *one.ten_percent_mm + 1);
    }

    TEST_CASE("on a ground that varies by itself nothing is told") {
        DyedPiece before = red_on_blue();
        before.broken = 0.5;
        const GroundChange c = change(before, before);
        CHECK(c.verdict == Change::cannot_tell);
        CHECK(has(c.why, "varies by itself"));
        before.broken = 0.05;  // hardly to be seen
        CHECK(change(before, before).verdict == Change::no_change_seen);
    }

    TEST_CASE("no plain ground, one hue, or wet against dry: cannot tell") {
        const DyedPiece before = red_on_blue();
        GroundOptions wet;
        wet.wetness = GroundOptions::Wetness::differs;
        const GroundChange c = change(before, before, wet);
        CHECK(c.verdict == Change::cannot_tell);
        CHECK(has(c.why, "wet"));
        DyedPiece blue_on_blue = before;
        const KOverS undyed = k_over_s(LinearRgb{0.9, 0.85, 0.74});
        blue_on_blue.motif = linear_from_k_over_s(undyed + (k_over_s(before.ground) - undyed) * 9);
        const GroundChange hue = change(blue_on_blue, blue_on_blue);
        CHECK(hue.verdict == Change::cannot_tell);
        CHECK(has(hue.why, "one hue"));
        DyedPiece crop = before;  // nothing of it is 12 mm from a motif
        crop.left = crop.top = 12;
        crop.width = 66;
        crop.height = 52;
        const GroundChange full = change(crop, crop);
        CHECK(full.verdict == Change::cannot_tell);
        CHECK(has(full.why, "plain"));
    }

    TEST_CASE("of two different pieces only dye beside the motif counts: their grounds may differ from the start") {
        const DyedPiece before = navy_on_undyed();
        GroundOptions options;
        options.pieces = GroundOptions::Pieces::different;
        DyedPiece after = before;
        after.stencil_in_ground = 0.05;
        const GroundChange c = change(before, after, options);
        CHECK(c.verdict == Change::no_change_seen);
        CHECK_FALSE(c.far.has_value());
        CHECK(c.delta_e00 > 5);
    }

    TEST_CASE("against a clean stencil the photo alone tells of dye beside the motif") {
        DyedPiece after = navy_on_undyed();
        CHECK(ground_change(read(after), {}).verdict == Change::no_change_seen);
        after.halo = 0.12;
        after.halo_mm = 8;
        CHECK(ground_change(read(after), {}).verdict == Change::softened);
    }

    TEST_CASE("two dyes mixed in K/S are told apart, and neither is ever less than none") {
        const KOverS blue{4, 1, 0.3}, red{0.4, 6, 5};
        const TwoDyes both = unmixed(blue * 0.7 + red * 0.05, blue, red);
        CHECK(both.ground == doctest::Approx(0.7));
        CHECK(both.stencil == doctest::Approx(0.05));
        const TwoDyes less = unmixed(blue - red * 0.1, blue, red);
        CHECK(less.stencil == 0);
        CHECK(less.ground > 0.9);
        CHECK(unmixed(red * 2 - blue * 0.1, blue, red).ground == 0);
        CHECK(cosine(blue, blue * 3) == doctest::Approx(1));
    }

    TEST_CASE("distances are those a slow search finds") {
        Grid<unsigned char> marked(23, 31);
        Random random(5);
        for (unsigned char& mark : marked) mark = random.uniform() < 0.03;
        const Grid<double> fast = distances(marked, 1.5, 0.7);
        for (int r = 0; r < marked.rows(); ++r)
            for (int c = 0; c < marked.columns(); ++c) {
                double least = 1e9;
                for (int y = 0; y < marked.rows(); ++y)
                    for (int x = 0; x < marked.columns(); ++x)
                        if (marked(y, x)) least = std::min(least, std::hypot(1.5 * (x - c), 0.7 * (y - r)));
                CHECK(fast(r, c) == doctest::Approx(least));
            }
    }

    TEST_CASE("grey scale steps are those of the standard") {
        // ISO 105-A02, differences in CIELAB and their tolerances, as read in a preview of EN 20105-A02:1994
        const struct {
            const char* grade;
            double delta, tolerance;
        } table[] = {{"5", 0, 0.2},     {"4-5", 0.8, 0.2}, {"4", 1.7, 0.3},   {"3-4", 2.5, 0.35}, {"3", 3.4, 0.4},
                     {"2-3", 4.8, 0.5}, {"2", 6.8, 0.6},   {"1-2", 9.6, 0.7}, {"1", 13.6, 1.0}};
        for (const auto& row : table) {
            CAPTURE(row.grade);
            CHECK(grey_scale_step(row.delta) == row.grade);
            CHECK(grey_scale_step(row.delta + row.tolerance) == row.grade);
            if (row.delta > 0) CHECK(grey_scale_step(row.delta - row.tolerance) == row.grade);
        }
        CHECK(grey_scale_step(40) == "1");
    }

    TEST_CASE("a colour faded by a known difference is told as such") {
        const Lab before{50, 20, -30};
        const Fading f = fading(linear_from_lab(before), linear_from_lab({53.4, 20, -30}));
        CHECK(f.delta_e76 == doctest::Approx(3.4).epsilon(1e-6));
        CHECK(f.delta_l == doctest::Approx(3.4).epsilon(1e-6));
        CHECK(f.grey_scale == "3");
    }
}
