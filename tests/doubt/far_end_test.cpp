#include <doctest/doctest.h>

#include "doubt/painted_blank.h"

using namespace loopread;
using namespace loopread::doubt_test;

namespace {

constexpr int kStitches = 24;
constexpr Millimetres kYarn{15};

/// Undyed at the ravel edge, upright bars at the other.
PaintedBlank half_painted() {
    return painted(layout_of(kStitches, 90, 1), [](double across, double along) {
        return along < 0.5 ? kUndyedWool : across < 0.5 ? kBuoy : kTide;
    });
}

/// A piece that takes a tenth of the yarn.
Garment small_piece() {
    return tube(kStitches, 12);
}

FabricLook look_from(const ColourRun& run) {
    return look_of(knitted(run, small_piece(), kYarn), run, kYarn.value * kStitches);
}

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("how sure it is, is asked of the end that is knitted first") {
        const PaintedBlank half = half_painted();
        const RepaintedBlank blank = half.repainted();
        const ColourRun run = half.strands().front();
        const FabricLook near_end = look_from(run), far_end = look_from(run.reversed());
        REQUIRE(near_end.verdict.kind != far_end.verdict.kind);
        DoubtPlan nothing_to_guess;
        nothing_to_guess.draws = 3;
        DoubtedKnitting knitting = plain_knitting(kStitches, kYarn.value);
        knitting.garment = [](Millimetres, Millimetres) { return small_piece(); };
        for (const FirstEnd end : {FirstEnd::ravel_end, FirstEnd::far_end}) {
            knitting.first_end = end;
            const FabricLook& by_hand = end == FirstEnd::far_end ? far_end : near_end;
            const auto sure = how_sure({&blank, {}, {}}, knitting, nothing_to_guess);
            REQUIRE(sure);
            CHECK(sure->kind_in_use == by_hand.verdict.kind);
            CHECK(sure->kinds.front().kind == by_hand.verdict.kind);
            CHECK(sure->shares.pool.median == by_hand.shares.pool);
            CHECK(sure->shares.stripe.median == by_hand.shares.stripe);
        }
    }
}
