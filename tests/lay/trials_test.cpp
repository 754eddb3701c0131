#include "loopread/lay/trials.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>

#include "loopread/shares/round_lengths.h"
#include "loopread/unravel/unravelled.h"
#include "small_blank.h"

using namespace loopread;

namespace {

constexpr int kKnitters = 24;  // more than take the quick look

BlankToKnit narrow_blank() {
    return small_blank(20, 60);
}

Paint crept(Paint paint) {
    for (DyeLayer& layer : paint.layers) layer.amount = blurred(layer.amount, 0.7, 0.7);
    return paint;
}

RiskOptions risk_of(int knitters, int threads = 1) {
    return {.knitters = knitters, .pooling_from = 0.4, .threads = threads};
}

/// Everything pools, however it is nudged.
RiskOptions always_pooling() {
    return {.knitters = 2, .pooling_from = 0, .contrast_from = 0, .threads = 1};
}

/// Columns of discs that stack at some round lengths.
Paint columns_of_discs(const BlankLayout& layout = narrow_blank().layout) {
    return dyed(layout, discs(layout, 24, 30));
}

double worst_by_hand(const Nudge& nudge, const RiskOptions& risk) {
    const BlankToKnit blank = narrow_blank();
    const Paint paint = columns_of_discs();
    const std::vector<ColourRun> strands = unravelled(blank.layout, crept(nudged(paint, motifs_of(paint), nudge)),
                                                      blank.shape, blank.shares, blank.winding);
    std::vector<int> counts;
    for (int n = 59; n <= 78; ++n) counts.push_back(n);  // 75 to 100 cm at 12.73 mm
    double worst = 0;
    for (const auto& points : swept(strands, {counts, 12.73, Worked::in_the_round}, risk))
        for (const SweepPoint& point : points) worst = std::max(worst, point.pool_risk);
    return worst;
}

}  // namespace

TEST_SUITE("lay") {
    TEST_CASE("a search in steps finds what the search at once finds, by one thread or two") {
        NudgeTrials trials(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters));
        while (!trials.done()) trials.step();
        const NudgeSearch& found = trials.search();
        CHECK(found.clear);
        CHECK(found.tried > 0);
        for (const int threads : {1, 2}) {
            CAPTURE(threads);
            const NudgeTrials other(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters, threads));
            const NudgeSearch at_once =
                least_nudge(nudges_to_try(other.motifs()), kClearRisk,
                            [&](const Nudge& nudge, double enough) { return other.worst_risk(nudge, enough); }, {});
            CHECK(found.nudge == at_once.nudge);
            CHECK(found.worst_risk == at_once.worst_risk);
            CHECK(found.risk_before == at_once.risk_before);
            CHECK(found.tried == at_once.tried);
        }
    }

    TEST_CASE("the risks told of a nudge are those of the nudged blank unravelled and knitted by hand") {
        NudgeTrials trials(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters));
        trials.step();
        CHECK(trials.search().tried == 0);
        CHECK(trials.search().risk_before == worst_by_hand({}, risk_of(kKnitters)));
        CHECK(trials.search().risk_before > kClearRisk);
        while (!trials.done()) trials.step();
        CHECK(trials.search().worst_risk == worst_by_hand(trials.search().nudge, risk_of(kKnitters)));
        CHECK(trials.search().worst_risk <= kClearRisk);
    }

    TEST_CASE("a nudge that a few knitters find far too risky is left at that") {
        const NudgeTrials trials(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters));
        const double quick = trials.worst_risk({}, 0);
        CHECK(quick * 20 == doctest::Approx(std::round(quick * 20)));  // of 20 knitters, not of 24
        CHECK(trials.worst_risk({}, 1) == worst_by_hand({}, risk_of(kKnitters)));
    }

    TEST_CASE("where no nudge is clear every one is tried, then other sizes, each once") {
        const BlankToKnit blank = small_blank(16, 24);  // nine rounds: hundreds of nudges are soon tried
        NudgeTrials trials(blank, columns_of_discs(blank.layout), crept, always_pooling());
        std::size_t steps = 0;
        while (!trials.done()) {
            CHECK(trials.other_sizes().empty() == (steps <= trials.nudges() + 1));
            trials.step();
            ++steps;
        }
        CHECK(steps == 1 + trials.nudges() + trials.other_sizes().size());
        CHECK(trials.search().tried == trials.nudges());
        CHECK(trials.nudges() == nudges_to_try(trials.motifs()).size());
        REQUIRE(trials.other_sizes().size() == 4);
        CHECK(trials.other_sizes()[0].words == "drawn 50 % as large");
        CHECK(trials.other_sizes()[2].words == "drawn 1.5 times as large");
        CHECK(trials.other_sizes()[3].worst_risk == 1);
        CHECK(found_in_words(trials).find("Nor does another size of motif: break") != std::string::npos);
        trials.step();
        CHECK(trials.other_sizes().size() == 4);
    }

    TEST_CASE("what was found is told with its figures, but not before the end") {
        NudgeTrials trials(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters));
        CHECK_THROWS_AS(found_in_words(trials), std::logic_error);
        while (!trials.done()) trials.step();
        const std::string words = found_in_words(trials);
        CHECK(words.starts_with("The least change that stays clear of pools at any round of 75 to 100 cm: "));
        for (const std::string& change : nudge_in_words(trials.search().nudge, trials.motifs()))
            CHECK(words.find(change) != std::string::npos);
        const std::string before =
            "; before, for " + std::to_string(std::lround(100 * trials.search().risk_before)) + ".";
        CHECK(words.ends_with(before));
    }

    TEST_CASE("a design that is clear as it lies needs one step and no nudge") {
        const BlankToKnit blank = narrow_blank();
        const BlankRaster raster = blank_raster(blank.layout, kPixelsPerStitch);
        NudgeTrials trials(blank, dyed(blank.layout, Plane(raster.rows, raster.columns, 0.0)), crept, risk_of(5));
        trials.step();
        CHECK(trials.done());
        CHECK(trials.search().nudge == Nudge{});
        CHECK(found_in_words(trials) ==
              "The design needs no nudge: at worst it pools for 0 of 100 knitters at any round of 75 to 100 cm.");
    }

    TEST_CASE("the count at which a run pools most has the largest risk of all usual counts") {
        const NudgeTrials trials(narrow_blank(), columns_of_discs(), crept, risk_of(kKnitters));
        const ColourRun run = trials.runs({}).front();
        const auto points = swept(run, {usual_counts({12.73}, 64), 12.73, Worked::in_the_round}, risk_of(kKnitters));
        const int worst = trials.worst_count(run);
        for (const SweepPoint& point : points)
            for (const SweepPoint& own : points)
                if (own.stitches == worst) CHECK(own.pool_risk >= point.pool_risk);
    }
}
