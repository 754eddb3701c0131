#include "loopread/shares/look.h"

#include <doctest/doctest.h>

#include "fabrics.h"

using namespace loopread;

namespace {

constexpr double kYarnMm = 13;

/// Two colours that change places with every `rounds` rounds of 64.
ColourRun striped_yarn(int rounds) {
    return yarn_of(two_colours({.stitches = 64, .rounds = 60}, 2 * 64 * rounds), kYarnMm);
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("a plain piece takes up all whole rounds of the yarn if not told how many") {
        const ColourRun run = striped_yarn(4);
        const Garment garment = plain_garment({.stitches = 50, .yarn_per_stitch = {kYarnMm}}, run.length());
        CHECK(garment.rounds.size() == 76);  // 3840 stitches
        CHECK(garment.rounds.front().stitches == 50);
        CHECK(garment.rounds.front().worked == Worked::in_the_round);
        CHECK(plain_garment({.stitches = 50, .yarn_per_stitch = {kYarnMm}, .rounds = 7}, run.length()).rounds.size() ==
              7);
        const Garment flat_piece = plain_garment(
            {.stitches = 50, .yarn_per_stitch = {kYarnMm}, .worked = Worked::back_and_forth}, run.length());
        CHECK(flat_piece.rounds.size() == 76);
        CHECK(flat_piece.rounds.front().worked == Worked::back_and_forth);
    }

    TEST_CASE("yarn too short for a round still gives one, unfinished") {
        const Fabric fabric = plain_fabric(striped_yarn(4), {.stitches = 5000, .yarn_per_stitch = {kYarnMm}});
        CHECK(fabric.rounds_planned == 1);
        CHECK(fabric.ran_out());
    }

    TEST_CASE("a fabric looks like what it was made to be") {
        const ColourRun run = striped_yarn(4);
        const auto looked_at = [&](int stitches, const ColourRun& yarn) {
            return look_of(plain_fabric(yarn, {.stitches = stitches, .yarn_per_stitch = {kYarnMm}}), yarn,
                           stitches * kYarnMm);
        };
        const FabricLook stripes = looked_at(64, run);
        CHECK(stripes.shares.stripe > 0.95);
        CHECK(stripes.verdict.kind == "stripes");
        CHECK(stripes.verdict.sentence.starts_with("Stripes of about 4 rounds"));
        const ColourRun halves = yarn_of(two_colours({.stitches = 64, .rounds = 60}, 64), kYarnMm);
        const FabricLook pools = looked_at(64, halves);
        CHECK(pools.shares.pool > 0.9);
        CHECK(pools.verdict.kind == "pools");
        CHECK(looked_at(96, halves).verdict.kind != "pools");
    }
}
