#include "loopread/shares/risk_sweep.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>

#include "fabrics.h"

using namespace loopread;

namespace {

constexpr double kYarnMm = 12.73;

SweepPlan plan_of(Worked worked) {
    return {.stitches = {64, 40, 61, 600, 77}, .yarn_per_stitch_mm = kYarnMm, .worked = worked};
}

/// Two strands of unlike lengths, the first with colours that come back after 64 stitches.
std::vector<ColourRun> two_strands() {
    const PlainRounds pooling = fabric_of({.rounds = 50}, [](int k) { return k % 64 < 20 ? kDark : kPale; });
    return {yarn_of(pooling, kYarnMm), yarn_of(motley({.rounds = 40}, 3), kYarnMm)};
}

void check_same(const SweepPoint& a, const SweepPoint& b) {
    CAPTURE(a.stitches);
    CHECK(a.stitches == b.stitches);
    CHECK(a.yarn_per_round_mm == b.yarn_per_round_mm);
    CHECK(a.pool_risk == b.pool_risk);
    CHECK(a.shares.stripe == b.shares.stripe);
    CHECK(a.shares.pool == b.shares.pool);
    CHECK(a.shares.dash == b.shares.dash);
    CHECK(a.shares.speckle == b.shares.speckle);
    CHECK(a.shares.lean == b.shares.lean);
    CHECK(a.shares.colour_range == b.shares.colour_range);
    CHECK(a.shares.fade == b.shares.fade);
    CHECK(a.shares.wiggle == b.shares.wiggle);
    CHECK(a.shares.pooled_contrast == b.shares.pooled_contrast);
    CHECK(a.shares.why_none == b.shares.why_none);
}

void check_same(const std::vector<std::vector<SweepPoint>>& a, const std::vector<std::vector<SweepPoint>>& b) {
    REQUIRE(a.size() == b.size());
    for (std::size_t s = 0; s < a.size(); ++s) {
        CAPTURE(s);
        REQUIRE(a[s].size() == b[s].size());
        for (std::size_t i = 0; i < a[s].size(); ++i) check_same(a[s][i], b[s][i]);
    }
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("a sweep in steps ends in the numbers of one at once, by one thread or two") {
        for (const Worked worked : {Worked::in_the_round, Worked::back_and_forth}) {
            const std::vector<ColourRun> strands = two_strands();
            RiskOptions options{.knitters = 12, .pooling_from = 0.1, .contrast_from = 3};
            RiskSweep sweep(strands, plan_of(worked), options);
            while (!sweep.done()) sweep.step();
            double most = 0, least = 1;
            for (const int threads : {1, 2}) {
                options.threads = threads;
                const auto at_once = swept(strands, plan_of(worked), options);
                check_same(sweep.points(), at_once);
                const std::vector<RoundRisk> risks = sweep.risks(), wanted = round_risks(at_once);
                REQUIRE(risks.size() == wanted.size());
                for (std::size_t i = 0; i < risks.size(); ++i) {
                    CHECK(risks[i].stitches == wanted[i].stitches);
                    CHECK(risks[i].risk == wanted[i].risk);
                    CHECK(risks[i].pool == wanted[i].pool);
                    CHECK(risks[i].known == wanted[i].known);
                    if (risks[i].known) most = std::max(most, risks[i].risk);
                    if (risks[i].known) least = std::min(least, risks[i].risk);
                }
            }
            CHECK(most > 0);  // else equal risks would say nothing
            CHECK(least < 1);
        }
    }

    TEST_CASE("after so many knitters a sweep tells what a sweep of so many tells") {
        const std::vector<ColourRun> strands = two_strands();
        RiskOptions options{.knitters = 9, .pooling_from = 0.1, .contrast_from = 3};
        RiskSweep sweep(strands, plan_of(Worked::in_the_round), options);
        while (!sweep.done()) {
            sweep.step();
            if (sweep.knitters() == 0) continue;
            CAPTURE(sweep.knitters());
            options.knitters = sweep.knitters();
            check_same(sweep.points(), swept(strands, plan_of(Worked::in_the_round), options));
        }
        CHECK(sweep.knitters() == 9);
    }

    TEST_CASE("a step is one stitch count or one knitter, and steps after the last change nothing") {
        RiskSweep sweep(two_strands(), plan_of(Worked::in_the_round), {.knitters = 3});
        CHECK(sweep.progress() == 0);
        CHECK(sweep.risks().empty());
        for (std::size_t counts = 1; counts <= 5; ++counts) {
            sweep.step();
            CHECK(sweep.points().front().size() == counts);
            CHECK(sweep.points().back().size() == counts);
            CHECK(sweep.knitters() == 0);
            CHECK(sweep.progress() == doctest::Approx(static_cast<double>(counts) / 8));
        }
        for (int knitters = 1; knitters <= 3; ++knitters) {
            CHECK_FALSE(sweep.done());
            sweep.step();
            CHECK(sweep.knitters() == knitters);
        }
        CHECK(sweep.done());
        CHECK(sweep.progress() == 1);
        const auto points = sweep.points();
        sweep.step();
        CHECK(sweep.knitters() == 3);
        check_same(sweep.points(), points);
    }

    TEST_CASE("a sweep without knitters, of an empty strand or of no counts comes to its end") {
        RiskSweep planned(two_strands(), plan_of(Worked::in_the_round), {.knitters = 0});
        while (!planned.done()) planned.step();
        check_same(planned.points(), swept(two_strands(), plan_of(Worked::in_the_round), {.knitters = 0}));

        std::vector<ColourRun> with_empty = two_strands();
        with_empty.emplace_back();
        RiskSweep sweep(with_empty, plan_of(Worked::in_the_round), {.knitters = 2});
        while (!sweep.done()) sweep.step();
        check_same(sweep.points(), swept(with_empty, plan_of(Worked::in_the_round), {.knitters = 2}));

        const RiskSweep none(two_strands(), {.stitches = {}}, {.knitters = 2});
        CHECK(none.done());
        CHECK(none.progress() == 1);
        CHECK(none.risks().empty());
    }

    TEST_CASE("a sweep in steps of no strands or with a plan out of range is a broken contract") {
        CHECK_THROWS_AS(RiskSweep({}, plan_of(Worked::in_the_round)), std::logic_error);
        CHECK_THROWS_AS(RiskSweep(two_strands(), {.stitches = {0}}), std::logic_error);
        CHECK_THROWS_AS(RiskSweep(two_strands(), {.stitches = {64}}, {.length_sd = 0.5}), std::logic_error);
    }
}
