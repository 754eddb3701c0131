#include <doctest/doctest.h>

#include "fabrics.h"
#include "loopread/shares/knitters.h"

using namespace loopread;

TEST_SUITE("shares") {
    // What is above a stitch is never its own colour here: a pool share of nothing, to the bit, so that a line drawn at
    // nothing is met exactly.
    TEST_CASE("a fabric that lies just on the lines of pool and contrast pools, and over either it does not") {
        constexpr double kStitchMm = 13;
        const ColourRun yarn = yarn_of(two_colours({.stitches = 96, .rounds = 40}, 64), kStitchMm);
        const SweepPlan plan{.stitches = {96}, .yarn_per_stitch_mm = kStitchMm};
        RiskOptions lines{.knitters = 3, .length_sd = 0, .drift_sd = 0, .pooling_from = 0, .contrast_from = 0};
        const SweepPoint on_both = swept(yarn, plan, lines).front();
        REQUIRE(on_both.shares.pool == 0);
        REQUIRE(on_both.shares.pooled_contrast == 0);
        CHECK(on_both.pool_risk == 1);
        lines.pooling_from = 1e-12;
        CHECK(swept(yarn, plan, lines).front().pool_risk == 0);
        lines.pooling_from = 0;
        lines.contrast_from = 1e-12;
        CHECK(swept(yarn, plan, lines).front().pool_risk == 0);
    }
}
