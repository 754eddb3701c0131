#include "loopread/doubt/how_sure.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "doubt/painted_blank.h"

using namespace loopread;
using namespace loopread::doubt_test;

namespace {

constexpr int kStitches = 24;
// Ten draws tell a median to about a quarter of their spread, and one drifting knitter adds a scatter of her own.
constexpr double kQuickRisk = 0.08;
constexpr double kSomeSpread = 0.02;  // of the risk over the draws: else the comparison says nothing
constexpr double kOneColour = 1e-6;   // CIEDE2000 of colours that are equal but for rounding

std::string kind_at(const ColourRun& run, double yarn_mm) {
    return look_of(plain_fabric(run, {.stitches = kStitches, .yarn_per_stitch = Millimetres{yarn_mm}}), run,
                   kStitches * yarn_mm)
        .verdict.kind;
}

/// The yarn in a stitch at which what is said of the bars changes, to 1 %.
double flip_yarn(const ColourRun& run) {
    double at = 10;
    const std::string first = kind_at(run, at);
    while (at < 30 && kind_at(run, at * 1.01) == first) at *= 1.01;
    REQUIRE(at < 30);
    return at * 1.005;
}

DoubtPlan plan_of(const Ranges& ranges, int draws = 100) {
    DoubtPlan plan;
    plan.ranges = ranges;
    plan.draws = draws;
    return plan;
}

RiskInUse risk_of(const std::vector<ColourRun>& runs, double yarn_mm, int knitters = 60) {
    RiskInUse risk;
    risk.options.knitters = knitters;
    SweepPlan sweep;
    for (int n = 18; n <= 34; ++n) sweep.stitches.push_back(n);
    sweep.yarn_per_stitch_mm = yarn_mm;
    risk.risks = round_risks(swept(runs, sweep, risk.options));
    return risk;
}

double width(const Band& band) {
    return band.p95 - band.p5;
}

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("of a plain blank every draw says one colour") {
        const PaintedBlank plain = painted(layout_of(24, 60, 2), [](double, double) { return kUndyedWool; });
        const RepaintedBlank blank = plain.repainted();
        const auto sure = how_sure({&blank, {}, {}}, plain_knitting(24, 13, {1, 2}), plan_of(usual_ranges()));
        REQUIRE(sure);
        REQUIRE(sure->kinds.size() == 1);
        CHECK(sure->kinds[0].kind == "one colour");
        CHECK(sure->kinds[0].draws == 100);
        CHECK(sure->pair_mean_de00->p95 < kOneColour);
        CHECK_FALSE(clear_mover(sure->verdict_moved_by));
    }

    TEST_CASE("with nothing left to guess the median, and every draw, is the answer in use to the bit") {
        const PaintedBlank painted_bars = bars(1);
        const RepaintedBlank blank = painted_bars.repainted();
        const std::vector<ColourRun> runs = painted_bars.strands();
        const RiskInUse risk = risk_of(runs, 15);
        const auto sure = how_sure({&blank, {}, {}}, plain_knitting(kStitches, 15), plan_of({}, 20), risk);
        REQUIRE(sure);
        const FabricLook look =
            look_of(plain_fabric(runs[0], {.stitches = kStitches, .yarn_per_stitch = Millimetres{15}}), runs[0],
                    kStitches * 15);
        CHECK(sure->kind_in_use == look.verdict.kind);
        CHECK(sure->kinds[0].draws == 20);
        CHECK(sure->shares.pool.median == look.shares.pool);
        CHECK(sure->shares.stripe.median == look.shares.stripe);
        CHECK(width(sure->shares.speckle) == 0);
        REQUIRE(sure->risk);
        bool some_risk = false;
        for (std::size_t i = 0; i < risk.risks.size(); ++i) {
            CHECK(sure->risk->bands[i].median == risk.risks[i].risk);
            CHECK(width(sure->risk->bands[i]) == 0);
            some_risk = some_risk || risk.risks[i].risk > 0;
        }
        CHECK(some_risk);
        CHECK(sure->risk->asked.median == risk.risks[kStitches - 18].risk);
    }

    TEST_CASE("figures that are held move nothing, each in its turn") {
        const RepaintedBlank blank = bars(1).repainted();
        Ranges only_yarn;
        only_yarn[Unmeasured::yarn] = yarn_without_gauge(32);
        const auto sure = how_sure({&blank, {}, {}}, plain_knitting(kStitches, 15), plan_of(only_yarn));
        REQUIRE(sure);
        REQUIRE(sure->verdict_moved_by.size() == 1);
        CHECK(sure->verdict_moved_by[0].what == Unmeasured::yarn);
        Ranges only_dye = usual_ranges();
        only_dye[Unmeasured::yarn] = held(1);
        const auto dyed = how_sure({&blank, {}, {}}, plain_knitting(kStitches, 15), plan_of(only_dye));
        CHECK(width(dyed->yarn_per_round_mm) == 0);
        CHECK(dyed->verdict_moved_by.size() == 2);  // one strand does not wind
        CHECK(width(dyed->shares.pool) > 0);
    }

    TEST_CASE("of a yarn that is what it is only the yarn in a round is drawn") {
        const PaintedBlank painted_bars = bars(1);
        const auto sure =
            how_sure({nullptr, painted_bars.strands(), {}}, plain_knitting(kStitches, 15), plan_of(usual_ranges()));
        REQUIRE(sure);
        REQUIRE(sure->verdict_moved_by.size() == 1);
        CHECK(sure->verdict_moved_by[0].what == Unmeasured::yarn);
        CHECK_FALSE(sure->pair_mean_de00);
    }

    TEST_CASE("where the look changes with the yarn in a round it is not sure, and that yarn is named") {
        const PaintedBlank painted_bars = bars(1);
        const RepaintedBlank blank = painted_bars.repainted();
        const double flip = flip_yarn(painted_bars.strands()[0]);
        const auto sure = how_sure({&blank, {}, {}}, plain_knitting(kStitches, flip), plan_of(usual_ranges()));
        REQUIRE(sure);
        CHECK(sure->kinds.size() > 1);
        CHECK(sure->kinds[0].draws < 95);
        REQUIRE(clear_mover(sure->verdict_moved_by));
        CHECK(*clear_mover(sure->verdict_moved_by) == Unmeasured::yarn);
    }

    TEST_CASE("a wider range never makes a band narrower") {
        const PaintedBlank painted_bars = bars(2);
        const RepaintedBlank blank = painted_bars.repainted();
        const RiskInUse risk = risk_of(painted_bars.strands(), 15, 20);
        double last_pool = -1, last_pair = -1, last_risk = -1;
        for (const double part : {0.0, 0.2, 0.5, 1.0}) {
            CAPTURE(part);
            Ranges ranges;
            const Ranges usual = usual_ranges();
            for (const Unmeasured what : {Unmeasured::wrap, Unmeasured::penetration}) {
                const Range& whole = usual[what];
                ranges[what] = {whole.used - part * (whole.used - whole.low), whole.used,
                                whole.used + part * (whole.high - whole.used)};
            }
            const auto sure = how_sure({&blank, {}, {}}, plain_knitting(kStitches, 15, {1, 2}), plan_of(ranges), risk);
            double risk_width = 0;
            for (const Band& band : sure->risk->bands) risk_width += width(band);
            CHECK(width(sure->shares.pool) >= last_pool);
            CHECK(width(*sure->pair_mean_de00) >= last_pair);
            CHECK(risk_width >= last_risk);
            last_pool = width(sure->shares.pool);
            last_pair = width(*sure->pair_mean_de00);
            last_risk = risk_width;
        }
        CHECK(last_risk > 0);
    }

    TEST_CASE("the same for any number of threads, and another for another seed") {
        const PaintedBlank painted_bars = bars(2);
        const RepaintedBlank blank = painted_bars.repainted();
        const RiskInUse risk = risk_of(painted_bars.strands(), 15, 20);
        DoubtPlan plan = plan_of(usual_ranges(), 40);
        const auto with = [&](int threads, std::uint64_t seed) {
            plan.threads = threads;
            return *how_sure({&blank, {}, {{100}, {30}, seed}}, plain_knitting(kStitches, 15, {1, 2}), plan, risk);
        };
        const HowSure one = with(1, 1), three = with(3, 1), other = with(1, 2);
        CHECK(one.shares.pool.p5 == three.shares.pool.p5);
        CHECK(one.pair_mean_de00->p95 == three.pair_mean_de00->p95);
        for (std::size_t i = 0; i < one.risk->bands.size(); ++i) {
            CHECK(one.risk->bands[i].p5 == three.risk->bands[i].p5);
            CHECK(one.risk->bands[i].p95 == three.risk->bands[i].p95);
        }
        CHECK(one.shares.pool.p5 != other.shares.pool.p5);
    }

    TEST_CASE("a draw at a time it comes to the same as all at once, to the bit") {
        const PaintedBlank painted_bars = bars(2);
        const RepaintedBlank blank = painted_bars.repainted();
        const RiskInUse risk = risk_of(painted_bars.strands(), 15, 20);
        const DoubtedYarn yarn{&blank, {}, {{100}, {30}, 5}};
        const DoubtPlan plan = plan_of(usual_ranges(), 20);
        const HowSure whole = *how_sure(yarn, plain_knitting(kStitches, 15, {1, 2}), plan, risk);
        DrawsInTurn draws(yarn, plain_knitting(kStitches, 15, {1, 2}), plan, risk);
        REQUIRE(draws.tells());
        CHECK_THROWS_AS(draws.found(), std::logic_error);
        int steps = 0;
        for (; !draws.done(); ++steps) {
            CHECK(draws.progress() == doctest::Approx(steps / 20.0));
            draws.step();
        }
        CHECK(steps == 20);
        CHECK_THROWS_AS(draws.step(), std::logic_error);
        const HowSure found = draws.found();
        REQUIRE(found.kinds.size() == whole.kinds.size());
        for (std::size_t i = 0; i < found.kinds.size(); ++i) CHECK(found.kinds[i].draws == whole.kinds[i].draws);
        CHECK(found.shares.stripe.p5 == whole.shares.stripe.p5);
        CHECK(found.pair_mean_de00->median == whole.pair_mean_de00->median);
        CHECK(found.risk->asked.p95 == whole.risk->asked.p95);
        for (std::size_t i = 0; i < found.risk->bands.size(); ++i)
            CHECK(found.risk->bands[i].p5 == whole.risk->bands[i].p5);
        CHECK(found.yarn_per_round_mm.p95 == whole.yarn_per_round_mm.p95);
        for (std::size_t i = 0; i < found.verdict_moved_by.size(); ++i)
            CHECK(found.verdict_moved_by[i].share == whole.verdict_moved_by[i].share);
    }

    TEST_CASE("the band of the risk holds what a full sweep of the drawn yarns finds") {
        const PaintedBlank painted_bars = bars(1, 3);
        const RepaintedBlank blank = painted_bars.repainted();
        Ranges ranges;
        ranges[Unmeasured::wrap] = usual_ranges()[Unmeasured::wrap];
        ranges[Unmeasured::penetration] = usual_ranges()[Unmeasured::penetration];
        const RiskInUse risk = risk_of(painted_bars.strands(), 15, 100);
        const auto sure = how_sure({&blank, {}, {}}, plain_knitting(kStitches, 15), plan_of(ranges), risk);
        // The slow way: every tenth draw is swept by a hundred knitters.
        const std::vector<Draw> draws = draws_from(ranges, {}, Winds::as_in_use, 100);
        double off = 0, spread = 0;
        int count = 0;
        std::vector<std::vector<double>> slow(risk.risks.size());
        for (std::size_t i = 0; i < draws.size(); i += 10) {
            const RiskInUse full = risk_of({blank.strand(0, draws[i])}, 15, 100);
            for (std::size_t n = 0; n < full.risks.size(); ++n) slow[n].push_back(full.risks[n].risk);
        }
        for (std::size_t n = 0; n < slow.size(); ++n, ++count) {
            off += std::abs(percentile(slow[n], 0.5) - sure->risk->bands[n].median);
            spread += width(band_of(slow[n]));
        }
        CHECK(off / count < kQuickRisk);
        CHECK(spread / count > kSomeSpread);
    }

    TEST_CASE("only a figure that leads by far is named") {
        CHECK_FALSE(clear_mover({}));
        CHECK_FALSE(clear_mover({{Unmeasured::wrap, 0.05}}));
        CHECK_FALSE(clear_mover({{Unmeasured::wrap, 0.5}, {Unmeasured::yarn, 0.3}}));
        CHECK(clear_mover({{Unmeasured::wrap, 0.5}, {Unmeasured::yarn, 0.2}}) == Unmeasured::wrap);
        CHECK(clear_mover({{Unmeasured::yarn, 0.2}}) == Unmeasured::yarn);
    }
}
