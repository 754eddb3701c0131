// What the second photo is for: yarn read off both sides.

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "loopread/colour/difference.h"
#include "loopread/lattice/shade.h"
#include "loopread/sides/show_through.h"
#include "loopread/unravel/unravelled.h"
#include "sides/side_photos.h"

using namespace loopread;
using namespace loopread::side_photos;

namespace {

BlankLayout layout_of(const Recipe& recipe) {
    BlankLayout layout;
    layout.stitches = recipe.stitches;
    layout.rows = recipe.rows;
    layout.strands = 1;
    layout.wale_spacing = Millimetres{5};
    layout.course_spacing = Millimetres{5 / 1.31};
    layout.loop_length = Millimetres{5 * 4.2};
    return layout;
}

/// Mean differences of two runs at legs and at arcs, CIEDE2000.
struct Misses {
    double legs = 0, arcs = 0;
};
Misses misses(const ColourRun& read, const ColourRun& truth) {
    Misses out;
    double legs = 0, arcs = 0;
    for (std::size_t i = 0; i < read.pieces().size(); ++i) {
        const Piece& a = read.pieces()[i];
        const bool leg = a.part == Part::leg1 || a.part == Part::leg2;
        const double off = delta_e_2000(lab_from_linear(a.colour), lab_from_linear(truth.pieces()[i].colour));
        (leg ? out.legs : out.arcs) += off;
        (leg ? legs : arcs) += 1;
    }
    return {out.legs / legs, out.arcs / arcs};
}

}  // namespace

TEST_SUITE("sides") {
    TEST_CASE("with both photos and what they tell, legs and arcs come nearer the truth than with one photo alone") {
        Recipe recipe;
        recipe.penetration = 0.1;
        recipe.noise = 0.005;
        const Design design = blots(12, recipe.stitches, recipe.rows);
        const BlankLayout layout = layout_of(recipe);
        const LoopShape shape(LoopProportions{});
        const CellShares shares(shape, 1);
        Paint truth;
        truth.raster = blank_raster(layout);
        truth.ground = Image(1, 1, kUndyed);
        truth.wrap = recipe.wrap;
        truth.penetration = recipe.penetration;
        truth.picture = Image(truth.raster.rows, truth.raster.columns);
        for (int r = 0; r < truth.raster.rows; ++r)
            for (int c = 0; c < truth.raster.columns; ++c)
                (*truth.picture)(r, c) = design((c + 0.5) / truth.raster.columns * recipe.stitches,
                                                (r + 0.5) / truth.raster.rows * recipe.rows);
        const auto run = [&](const Paint& paint) { return unravelled(layout, paint, shape, shares, {}).front(); };

        const SidePair pair = pair_of(recipe, design);
        const ShowThrough told = show_through(pair, model_of(recipe));
        Paint alone = truth;
        alone.picture = laid(pair.painted, {}, layout, truth.raster);
        alone.wrap = 0.7;
        alone.penetration = 0.4;  // as where nothing is known
        Paint both = alone;
        both.other_side = laid(without_shade(pair.other, pair.cells), {}, layout, truth.raster);
        for (LinearRgb& p : *both.other_side) p = {p.r * told.gain.r, p.g * told.gain.g, p.b * told.gain.b};
        both.wrap = told.wrap.value;
        both.penetration = told.penetration.value;
        const ColourRun true_run = run(truth);
        const Misses one = misses(run(alone), true_run), two = misses(run(both), true_run);
        CHECK(two.arcs < 0.8 * one.arcs);
        CHECK(two.legs < 1.1 * one.legs + 0.3);  // legs are mostly the first photo's anyway
        CHECK(two.arcs + two.legs < one.arcs + one.legs);
    }
}
