#include "loopread/lay/judging.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "loopread/base/parallel.h"
#include "loopread/shares/advice.h"
#include "loopread/unravel/unravelled.h"
#include "small_blank.h"

using namespace loopread;

namespace {

const std::vector<int> kCounts{40, 56, 61, 64, 72, 90};  // 51 to 115 cm of yarn in a round

BlankToKnit knitted_blank() {
    BlankToKnit blank = small_blank(20, 60);
    blank.strands = {2, 1};
    blank.first_end = FirstEnd::far_end;
    blank.layout.painted = Painted::back;
    return blank;
}

RiskOptions few_knitters(int threads = 1) {
    return {.knitters = 6, .pooling_from = 0.1, .contrast_from = 3, .threads = threads};
}

/// A bar along one side, a fade along the length and a spot near one corner: no turn or mirror of it is itself.
Plane lopsided(const Way& way) {
    Plane stencil(180, 60, 0.0);
    for (int r = 0; r < stencil.rows(); ++r)
        for (int c = 0; c < stencil.columns(); ++c) {
            stencil(r, c) = r / 600.0;
            if (c > 8 && c < 22) stencil(r, c) = 1;
            if (std::hypot(r - 30, c - 45) < 12) stencil(r, c) = 0.7;
        }
    const BlankLayout layout = knitted_blank().layout;
    return laid(stencil, {.rotate = way.rotate, .mirror = way.mirror}, layout, blank_raster(layout, kPixelsPerStitch));
}

Paint laid_so(const Way& way) {
    return dyed(knitted_blank().layout, lopsided(way));
}

/// What comes off and is knitted, put together by hand.
std::vector<ColourRun> runs_by_hand(const Way& way) {
    const BlankToKnit blank = knitted_blank();
    BlankLayout layout = blank.layout;
    layout.painted = way.painted;
    const std::vector<ColourRun> strands = unravelled(layout, laid_so(way), blank.shape, blank.shares, blank.winding);
    return {strands[1].reversed(), strands[0].reversed()};
}

void check_same(const Shares& a, const Shares& b) {
    CHECK(a.stripe == b.stripe);
    CHECK(a.pool == b.pool);
    CHECK(a.dash == b.dash);
    CHECK(a.speckle == b.speckle);
    CHECK(a.wiggle == b.wiggle);
    CHECK(a.colour_range == b.colour_range);
}

void check_same(const WayFindings& a, const WayFindings& b) {
    CAPTURE(way_in_words(a.judged.way));
    CHECK(a.judged.way == b.judged.way);
    CHECK(a.judged.pool_risk == b.judged.pool_risk);
    check_same(a.judged.shares, b.judged.shares);
    CHECK(a.worst_risk == b.worst_risk);
    CHECK(a.look.verdict.sentence == b.look.verdict.sentence);
    REQUIRE(a.strands.size() == b.strands.size());
    for (std::size_t s = 0; s < a.strands.size(); ++s) {
        REQUIRE(a.strands[s].size() == b.strands[s].size());
        for (std::size_t i = 0; i < a.strands[s].size(); ++i) {
            CHECK(a.strands[s][i].stitches == b.strands[s][i].stitches);
            CHECK(a.strands[s][i].pool_risk == b.strands[s][i].pool_risk);
            check_same(a.strands[s][i].shares, b.strands[s][i].shares);
        }
    }
}

/// All lays judged by so many threads at once.
std::vector<WayFindings> judged_at_once(const LayJudge& judge, std::size_t threads) {
    const std::vector<Way> lays = all_lays();
    std::vector<WayFindings> found(2 * lays.size());
    in_parallel(lays.size(), threads, [&] {
        return [&](std::size_t i) {
            const KnittedLay lay = judge.both_sides(lays[i], laid_so(lays[i]));
            found[i] = lay.knit_side.findings;
            found[i + lays.size()] = lay.purl_side.findings;
        };
    });
    return found;
}

const std::vector<WayFindings>& judged_in_turn() {
    static const std::vector<WayFindings> found = [] {
        WaysInTurn turns({knitted_blank(), kCounts, few_knitters()}, laid_so);
        while (!turns.done()) turns.step();
        return turns.findings();
    }();
    return found;
}

}  // namespace

TEST_SUITE("lay") {
    TEST_CASE("runs to knit are the asked-for strands from the asked-for end") {
        const ColourRun one(
            {Piece{.length_mm = 3, .colour = {1, 0, 0}}, Piece{.start_mm = 3, .length_mm = 2, .colour = {}}});
        const ColourRun two({Piece{.length_mm = 7, .colour = {0, 1, 0}}});
        const auto lengths = [&](const std::vector<int>& which) {
            std::vector<double> mm;
            for (const ColourRun& run : runs_to_knit({one, two}, which, FirstEnd::ravel_end))
                mm.push_back(run.length_mm());
            return mm;
        };
        CHECK(lengths({1, 2}) == std::vector<double>{5, 7});
        CHECK(lengths({2}) == std::vector<double>{7});
        CHECK(runs_to_knit({one, two}, {1}, FirstEnd::ravel_end).front().pieces().front().colour.r == 1);
        CHECK(runs_to_knit({one, two}, {1}, FirstEnd::far_end).front().pieces().back().colour.r == 1);
        CHECK_THROWS_AS(runs_to_knit({one}, {2}, FirstEnd::ravel_end), std::logic_error);
        CHECK_THROWS_AS(runs_to_knit({one}, {0}, FirstEnd::ravel_end), std::logic_error);
    }

    TEST_CASE("every way is judged as the design laid, unravelled and knitted by hand comes out") {
        const std::vector<Way> ways = all_ways();
        REQUIRE(judged_in_turn().size() == ways.size());
        double most = 0, least = 1;
        for (std::size_t i = 0; i < ways.size(); ++i) {
            CAPTURE(way_in_words(ways[i]));
            const WayFindings& found = judged_in_turn()[i];
            CHECK(found.judged.way == ways[i]);
            const bool asked_side = ways[i].painted == Painted::back;
            const std::vector<int> counts = asked_side ? kCounts : std::vector<int>{64};
            const std::vector<ColourRun> runs = runs_by_hand(ways[i]);
            const auto points = swept(runs, {counts, 12.73, Worked::in_the_round}, few_knitters());
            REQUIRE(found.strands.size() == 2);
            double worst = 0;
            for (std::size_t s = 0; s < 2; ++s) {
                REQUIRE(found.strands[s].size() == counts.size());
                for (std::size_t n = 0; n < counts.size(); ++n) {
                    CHECK(found.strands[s][n].stitches == counts[n]);
                    CHECK(found.strands[s][n].pool_risk == points[s][n].pool_risk);
                    check_same(found.strands[s][n].shares, points[s][n].shares);
                    if (counts[n] >= 59 && counts[n] <= 78) worst = std::max(worst, points[s][n].pool_risk);
                }
            }
            CHECK(found.worst_risk.has_value() == asked_side);
            if (found.worst_risk) CHECK(*found.worst_risk == worst);
            const std::size_t asked = asked_side ? 3 : 0;
            CHECK(found.judged.pool_risk == std::max(points[0][asked].pool_risk, points[1][asked].pool_risk));
            CHECK(found.judged.shares.pool ==
                  doctest::Approx((points[0][asked].shares.pool + points[1][asked].shares.pool) / 2));
            CHECK(std::abs(found.look.shares.pool - points[0][asked].shares.pool) < 1e-9);  // summed another way
            most = std::max(most, found.judged.pool_risk);
            least = std::min(least, found.judged.pool_risk);
        }
        CHECK(most > least);  // else any order of the ways would do
    }

    TEST_CASE("lays judged at once by one thread or two come out as those judged in turn") {
        for (const int threads : {1, 2}) {
            CAPTURE(threads);
            const LayJudge judge(knitted_blank(), kCounts, few_knitters(threads));
            const std::vector<WayFindings> found = judged_at_once(judge, static_cast<std::size_t>(threads));
            REQUIRE(found.size() == judged_in_turn().size());
            for (std::size_t i = 0; i < found.size(); ++i) check_same(found[i], judged_in_turn()[i]);
        }
    }

    TEST_CASE("a step judges one lay on both sides and hands out its yarn and fabric") {
        WaysInTurn turns({knitted_blank(), kCounts, few_knitters()}, laid_so);
        CHECK(turns.progress() == 0);
        for (std::size_t i = 0; i < 2; ++i) {
            const KnittedLay lay = turns.step();
            CHECK(lay.knit_side.findings.judged.way == all_lays()[i]);
            CHECK(lay.purl_side.findings.judged.way == Way{all_lays()[i].rotate, all_lays()[i].mirror, Painted::back});
            REQUIRE(lay.purl_side.runs.size() == 2);
            const std::vector<ColourRun> by_hand = runs_by_hand(lay.purl_side.findings.judged.way);
            CHECK(lay.purl_side.runs[1].pieces().front().colour.r == by_hand[1].pieces().front().colour.r);
            CHECK(lay.purl_side.fabric.rounds.front().round.stitches == 64);
            CHECK(lay.purl_side.fabric.stitches.front().r ==
                  knitted(by_hand[0], Garment{"", {Round{.stitches = 64}}}, Millimetres{12.73}).stitches.front().r);
            CHECK(turns.findings().size() == 2 * (i + 1));
        }
        CHECK(turns.progress() == 0.25);
        CHECK_FALSE(turns.done());
        while (!turns.done()) turns.step();
        CHECK_THROWS_AS(turns.step(), std::logic_error);
    }

    TEST_CASE("a judge who was not told to look at the asked-for count says so") {
        const LayJudge judge(knitted_blank(), {40, 50}, few_knitters());
        CHECK_THROWS_AS(judge.both_sides({}, laid_so({})), std::logic_error);
    }
}
