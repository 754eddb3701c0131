#include "loopread/table/sureness.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "base/words_in.h"
#include "loopread/doubt/words.h"
#include "loopread/fabric/fabric.h"
#include "loopread/shares/look.h"
#include "loopread/table/told.h"
#include "table/table_scene.h"

using namespace loopread;

namespace {

DyeTable applied(const TableState& state) {
    DyeTable table;
    table.apply(state);
    return table;
}

HowSure found(TableSureness& sureness) {
    REQUIRE(sureness.guesses());
    while (!sureness.done()) sureness.step();
    return sureness.found();
}

/// One strand, and every figure told.
TableState all_told() {
    TableState state = harbour_table();
    state.blank.strands = 1;
    state.blank.strand_m = 34;
    state.dye.wrap = 0.6;
    for (TableLayer& layer : state.layers) layer.penetration = 0.3;
    state.knitting.yarn_per_round_cm = 31;
    return state;
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("a figure at its default counts as not told, one of the dyer's own is held") {
        TableState state = harbour_table();
        const Ranges untold = untold_ranges(applied(state));
        for (const Range& range : untold.of) CHECK(range.drawn());
        CHECK(untold[Unmeasured::wrap].low == kLeastWrap);
        CHECK(untold[Unmeasured::yarn].low == yarn_without_gauge(32).low);
        state.dye.wrap = 0.6;
        state.knitting.gauge_stitches = 30;
        const Ranges some = untold_ranges(applied(state));
        CHECK(!some[Unmeasured::wrap].drawn());
        CHECK(some[Unmeasured::wrap].used == 0.6);
        CHECK(some[Unmeasured::yarn].low == yarn_at_known_gauge().low);
        CHECK(some[Unmeasured::yarn].high == yarn_at_known_gauge().high);
        state.knitting.yarn_per_round_cm = 31;
        CHECK(!untold_ranges(applied(state))[Unmeasured::yarn].drawn());
    }

    TEST_CASE("a layer with a depth of its own keeps it, and where all have one nothing is guessed of it") {
        TableState state = harbour_table();
        CHECK(TableSureness(applied(state)).ranges()[Unmeasured::penetration].drawn());
        for (TableLayer& layer : state.layers) layer.penetration = 0.3;
        const TableSureness own(applied(state));
        CHECK(!own.ranges()[Unmeasured::penetration].drawn());
        CHECK(own.ranges()[Unmeasured::wrap].drawn());
        state.layers.back().penetration = kDefaultPenetration;
        CHECK(TableSureness(applied(state)).ranges()[Unmeasured::penetration].drawn());
    }

    TEST_CASE("where all is told of a single strand nothing is left to guess, and of two strands the winding is") {
        TableState state = all_told();
        const TableSureness none(applied(state));
        CHECK(none.all_told());
        CHECK(!none.guesses());
        CHECK(none.done());
        CHECK(none.progress() == 1);
        CHECK_THROWS_AS(none.found(), std::logic_error);
        state.blank.strands = 2;
        state.blank.strand_m = 17;
        TableSureness two(applied(state));
        CHECK(two.winds());
        CHECK(!two.all_told());
        CHECK(found(two).draws == 100);
    }

    TEST_CASE("with the figures in use the guesses give what the table tells, sock and plain, from either end") {
        for (const auto form : {KnittingState::Form::plain, KnittingState::Form::sock})
            for (const auto from : {KnittingState::From::ravel_end, KnittingState::From::far_end}) {
                TableState state = harbour_table();
                state.knitting.form = form;
                state.knitting.from = from;
                state.knitting.stitches = 24;
                const DyeTable table = applied(state);
                TableSureness sureness(table);
                CHECK(found(sureness).kind_in_use == told(table).balls.front().look.verdict.kind);
            }
    }

    TEST_CASE("what the guesses find stays within what a wrap of nothing and of all would give") {
        TableState state = all_told();
        state.dye.wrap = kDefaultWrap;
        const DyeTable table = applied(state);
        TableSureness sureness(table);
        const HowSure sure = found(sureness);
        std::vector<double> stripes;
        for (int step = 0; step <= 12; ++step) {
            state.dye.wrap = kLeastWrap + (kMostWrap - kLeastWrap) * step / 12;
            const DyeTable other = applied(state);
            stripes.push_back(told(other).balls.front().look.shares.stripe);
        }
        const auto [least, most] = std::minmax_element(stripes.begin(), stripes.end());
        CHECK(*least < *most);
        // Between thirteen wraps the share may bend a little.
        const double slack = 0.1 * (*most - *least);
        CHECK(sure.shares.stripe.p5 >= *least - slack);
        CHECK(sure.shares.stripe.p95 <= *most + slack);
    }

    TEST_CASE("the risk is asked for only where it is known, and then at every one of its round lengths") {
        const DyeTable table = applied(harbour_table());
        TableSureness without(table);
        CHECK(!found(without).risk.has_value());
        RiskInUse risk;
        risk.options.knitters = 20;
        risk.options.threads = 1;
        SweepPlan sweep;
        for (int n = 18; n <= 30; ++n) sweep.stitches.push_back(n);
        sweep.yarn_per_stitch_mm = table.settled().knitting.yarn_per_stitch.value;
        risk.risks = round_risks(swept(table.runs(), sweep, risk.options));
        TableSureness with(table, risk);
        const HowSure sure = found(with);
        REQUIRE(sure.risk.has_value());
        CHECK(sure.risk->bands.size() == risk.risks.size());
    }

    TEST_CASE("a knitter is told of the yarn in her round only, a dyer of every figure") {
        for (const auto what : {Unmeasured::wrap, Unmeasured::penetration, Unmeasured::turn, Unmeasured::wander}) {
            CHECK(finding_out_by_knitting(what).empty());
            CHECK(has(finding_out_at_table(what), "ravel"));
        }
        CHECK(has(finding_out_by_knitting(Unmeasured::yarn), "measure"));
        CHECK(has(finding_out_at_table(Unmeasured::yarn), "under Knitting"));
    }
}
