#include "loopread/lay/ways.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

#include "loopread/unravel/unravelled.h"

using namespace loopread;

namespace {

constexpr int kKnitters = 100;
constexpr double kRounding = 1e-12;

/// A way that is told by its risk and its pool alone.
JudgedWay risky(const Way& way, double risk, double pool = 0.2) {
    JudgedWay judged{.way = way};
    judged.shares = {.pool = pool, .speckle = 1 - pool, .colour_range = 20, .why_none = {}};
    judged.pool_risk = risk;
    return judged;
}

JudgedWay with_shares(const Way& way, double stripe, double dash, double speckle) {
    JudgedWay judged{.way = way};
    judged.shares = {.stripe = stripe,
                     .pool = 1 - stripe - dash - speckle,
                     .dash = dash,
                     .speckle = speckle,
                     .colour_range = 20,
                     .why_none = {}};
    return judged;
}

Way turned_by(QuarterTurn turn) {
    return {.rotate = turn};
}
constexpr QuarterTurn kTurns[] = {QuarterTurn::none, QuarterTurn::clockwise_90, QuarterTurn::clockwise_180,
                                  QuarterTurn::clockwise_270};

/// Ways of growing risk, one a turn, in their ranked order's ties.
std::vector<int> ties_of(const std::vector<double>& risks, int knitters) {
    std::vector<JudgedWay> ways;
    for (std::size_t i = 0; i < risks.size(); ++i) ways.push_back(risky(turned_by(kTurns[i]), risks[i]));
    std::vector<int> ties;
    for (const JudgedWay& way : ranked(std::move(ways), Aim::no_pool, knitters)) ties.push_back(way.tie);
    return ties;
}

bool tied(double risk_a, double risk_b, int knitters) {
    return ties_of({risk_a, risk_b}, knitters) == std::vector<int>{1, 1};
}

// ---- a real design, laid, unravelled, knitted

/// 24 x 90 stitches in one strand: 46 m of yarn. Even rows, so that upside down it is the same yarn from its other end.
BlankLayout small_blank() {
    BlankLayout layout;
    layout.stitches = 24;
    layout.rows = 90;
    layout.strands = 1;
    return layout;
}

/// Leaning bars, a bar along one side and a spot near one corner: no turn or mirror of it is itself.
Image lopsided_design() {
    Image picture(180, 60, LinearRgb{0.85, 0.8, 0.7});
    for (int r = 0; r < picture.rows(); ++r)
        for (int c = 0; c < picture.columns(); ++c) {
            if ((r + c / 2) % 45 < 12) picture(r, c) = {0.02, 0.1, 0.3};
            if (c > 8 && c < 22) picture(r, c) = {0.6, 0.05, 0.1};
            if (std::hypot(r - 30, c - 45) < 12) picture(r, c) = {0.05, 0.3, 0.1};
        }
    return picture;
}

const std::vector<int> kCounts{50, 56, 60, 64, 68, 72, 80};

std::vector<SweepPoint> knitted_up(const Way& way) {
    static const LoopShape shape{LoopProportions{}};
    static const CellShares shares(shape, 1);
    BlankLayout layout = small_blank();
    layout.painted = way.painted;
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, LinearRgb{0.85, 0.8, 0.7});
    paint.picture = laid(lopsided_design(), {.rotate = way.rotate, .mirror = way.mirror}, layout, paint.raster);
    const std::vector<ColourRun> runs = unravelled(layout, paint, shape, shares, WindingOptions{});
    return swept(runs.front(), {.stitches = kCounts, .yarn_per_stitch_mm = 12.6}, {.knitters = 0});
}

double largest_pool_difference(const Way& a, const Way& b) {
    const std::vector<SweepPoint> of_a = knitted_up(a), of_b = knitted_up(b);
    double largest = 0;
    for (std::size_t i = 0; i < of_a.size(); ++i) {
        REQUIRE(of_a[i].shares.why_none.empty());
        largest = std::max(largest, std::abs(of_a[i].shares.pool - of_b[i].shares.pool));
    }
    return largest;
}

}  // namespace

TEST_SUITE("lay") {
    TEST_CASE("there are 16 ways, all different, the design as drawn on the knit side first") {
        const std::vector<Way> ways = all_ways();
        CHECK(ways.size() == 16);
        CHECK(ways.front() == Way{});
        for (std::size_t i = 0; i < ways.size(); ++i)
            for (std::size_t j = 0; j < i; ++j) CHECK_FALSE(ways[i] == ways[j]);
    }

    TEST_CASE("no two ways have the same words") {
        std::set<std::string> words;
        for (const Way& way : all_ways()) words.insert(way_in_words(way));
        CHECK(words.size() == 16);
        CHECK(way_in_words({}) == "as drawn, on the knit side");
        CHECK(way_in_words({QuarterTurn::clockwise_90, Mirror::left_right, Painted::back}) ==
              "turned a quarter clockwise, mirrored, on the purl side");
        CHECK(way_in_words({QuarterTurn::clockwise_270, Mirror::no, Painted::face}) ==
              "turned a quarter anticlockwise, on the knit side");
        CHECK(way_in_words({QuarterTurn::none, Mirror::left_right, Painted::face}) == "mirrored, on the knit side");
    }

    TEST_CASE("a way is judged by the mean of its strands' shares and the larger of their risks") {
        SweepPoint a, b;
        a.shares = {
            .stripe = 0.1, .pool = 0.4, .dash = 0.2, .speckle = 0.3, .colour_range = 10, .fade = 0.05, .why_none = {}};
        b.shares = {
            .stripe = 0.3, .pool = 0.2, .dash = 0.0, .speckle = 0.5, .colour_range = 20, .fade = 0.15, .why_none = {}};
        a.shares.wiggle = 0.2;
        b.shares.pooled_contrast = 8;
        a.pool_risk = 0.3;
        b.pool_risk = 0.7;
        const JudgedWay way = judged(turned_by(QuarterTurn::clockwise_90), {a, b});
        CHECK(way.way == turned_by(QuarterTurn::clockwise_90));
        CHECK(std::abs(way.shares.stripe - 0.2) < kRounding);
        CHECK(std::abs(way.shares.pool - 0.3) < kRounding);
        CHECK(std::abs(way.shares.dash - 0.1) < kRounding);
        CHECK(std::abs(way.shares.speckle - 0.4) < kRounding);
        CHECK(std::abs(way.shares.colour_range - 15) < kRounding);
        CHECK(std::abs(way.shares.fade - 0.1) < kRounding);
        CHECK(std::abs(way.shares.wiggle - 0.1) < kRounding);
        CHECK(std::abs(way.shares.pooled_contrast - 4) < kRounding);
        CHECK(way.pool_risk == 0.7);
        CHECK(judged({}, {b, a}).pool_risk == 0.7);
        CHECK_THROWS_AS(judged({}, {}), std::logic_error);
    }

    TEST_CASE("each aim ranks by its own share, and freedom from pools by risk") {
        const Way a = turned_by(kTurns[0]), b = turned_by(kTurns[1]), c = turned_by(kTurns[2]),
                  d = turned_by(kTurns[3]);
        std::vector<JudgedWay> ways{with_shares(a, 0.1, 0.2, 0.3), with_shares(b, 0.6, 0.1, 0.2),
                                    with_shares(c, 0.2, 0.6, 0.1), with_shares(d, 0.0, 0.0, 0.9)};
        ways[0].pool_risk = 0.0;
        for (std::size_t i = 1; i < 4; ++i) ways[i].pool_risk = 0.5;
        CHECK(ranked(ways, Aim::stripe, kKnitters).front().way == b);
        CHECK(ranked(ways, Aim::dash, kKnitters).front().way == c);
        CHECK(ranked(ways, Aim::speckle, kKnitters).front().way == d);
        CHECK(ranked(ways, Aim::no_pool, kKnitters).front().way == a);  // though it pools most: no one sees it
        CHECK(ranked(ways, Aim::stripe, kKnitters).back().way == d);
    }

    TEST_CASE("ranks are 1 to 16 in order, and ties never fall") {
        std::vector<JudgedWay> ways;
        double risk = 0.93;
        for (const Way& way : all_ways()) {
            ways.push_back(risky(way, risk, risk));
            risk = risk > 0.3 ? risk - 0.27 : risk + 0.61;
        }
        const std::vector<JudgedWay> sorted = ranked(ways, Aim::no_pool, kKnitters);
        REQUIRE(sorted.size() == 16);
        for (std::size_t i = 0; i < sorted.size(); ++i) {
            CHECK(sorted[i].rank == static_cast<int>(i) + 1);
            if (i > 0) CHECK(sorted[i].tie - sorted[i - 1].tie >= 0);
            if (i > 0) CHECK(sorted[i].tie - sorted[i - 1].tie <= 1);
        }
        CHECK(sorted.front().tie == 1);
        CHECK(sorted.back().tie > 3);
    }

    // Standard error of a share p seen by n knitters: sqrt(p (1 - p) / n), the binomial distribution's (textbook).
    TEST_CASE("risks tie within twice the binomial standard error, of 100 knitters and of 400") {
        CHECK(tied(0.46, 0.54, 100));  // 2 x 0.05
        CHECK_FALSE(tied(0.44, 0.56, 100));
        CHECK_FALSE(tied(0.46, 0.54, 400));  // 2 x 0.025
        CHECK(tied(0.48, 0.52, 400));
        CHECK(tied(0.05, 0.09, 100));        // at 0.07: 2 x 0.0255
        CHECK_FALSE(tied(0.05, 0.11, 100));  // at 0.08: 2 x 0.0271
        CHECK(tied(0.0, 0.01, 100));
        CHECK_FALSE(tied(0.0, 0.03, 100));
        CHECK(tied(1.0, 1.0, 100));
        CHECK_FALSE(tied(0.97, 1.0, 100));
        CHECK(tied(0.0, 1.0, 1));  // one knitter tells nothing
        CHECK_THROWS_AS(ranked({risky({}, 0.1)}, Aim::no_pool, 0), std::logic_error);
    }

    TEST_CASE("ties do not creep along a row of ways that each tie with the next") {
        CHECK(ties_of({0.30, 0.38, 0.46, 0.54}, 100) == std::vector<int>{1, 1, 2, 2});
        std::vector<JudgedWay> ways;
        double stripe = 0.60;
        for (const QuarterTurn turn : kTurns) {
            ways.push_back(with_shares(turned_by(turn), stripe, 0.1, 0.1));
            stripe -= 0.02;
        }
        std::vector<int> ties;
        for (const JudgedWay& way : ranked(ways, Aim::stripe, kKnitters)) ties.push_back(way.tie);
        CHECK(ties == std::vector<int>{1, 1, 2, 2});
    }

    TEST_CASE("shares tie within 0.03 of a share and no further") {
        for (const Aim aim : {Aim::stripe, Aim::dash, Aim::speckle}) {
            const auto ties = [&](double share) {
                const auto way = [&](QuarterTurn turn, double own) {
                    return with_shares(turned_by(turn), aim == Aim::stripe ? own : 0.1, aim == Aim::dash ? own : 0.1,
                                       aim == Aim::speckle ? own : 0.1);
                };
                return ranked({way(kTurns[0], 0.5), way(kTurns[1], share)}, aim, kKnitters).back().tie;
            };
            CHECK(ties(0.471) == 1);
            CHECK(ties(0.469) == 2);
            CHECK(ties(0.529) == 1);
            CHECK(ties(0.531) == 2);
        }
    }

    TEST_CASE("of ways that tie the one nearest to as drawn comes first, though others look a little better") {
        const Way drawn{}, mirrored{.mirror = Mirror::left_right}, purl{.painted = Painted::back};
        const std::vector<JudgedWay> sorted =
            ranked({risky(purl, 0.30), risky(mirrored, 0.31), risky(turned_by(kTurns[2]), 0.32), risky(drawn, 0.33)},
                   Aim::no_pool, kKnitters);
        CHECK(sorted.back().tie == 1);
        CHECK(sorted[0].way == drawn);
        CHECK(sorted[1].way == turned_by(kTurns[2]));
        CHECK(sorted[2].way == mirrored);
        CHECK(sorted[3].way == purl);
    }

    TEST_CASE("a clearly better way comes before the design as drawn") {
        const std::vector<JudgedWay> sorted =
            ranked({risky({}, 0.40), risky(turned_by(kTurns[1]), 0.10)}, Aim::no_pool, kKnitters);
        CHECK(sorted.front().way == turned_by(kTurns[1]));
        CHECK(sorted.back().tie == 2);
    }

    TEST_CASE("where risks tie the way that pools less comes first, though one knitter more saw pools") {
        const Way a = turned_by(kTurns[0]), b = turned_by(kTurns[1]);
        const std::vector<JudgedWay> sorted =
            ranked({risky(a, 0.30, 0.40), risky(b, 0.31, 0.05)}, Aim::no_pool, kKnitters);
        CHECK(sorted.front().way == b);
        CHECK(sorted.front().tie != sorted.back().tie);
    }

    TEST_CASE("two ways of equal risk and pool tie whatever lies between them") {
        const Way a = turned_by(kTurns[0]), b = turned_by(kTurns[1]), c = turned_by(kTurns[2]);
        const std::vector<JudgedWay> sorted =
            ranked({risky(a, 0.30, 0.40), risky(b, 0.31, 0.05), risky(c, 0.32, 0.40)}, Aim::no_pool, kKnitters);
        const auto tie = [&](const Way& way) {
            return std::find_if(sorted.begin(), sorted.end(), [&](const JudgedWay& w) { return w.way == way; })->tie;
        };
        CHECK(tie(a) == tie(c));
    }

    TEST_CASE("reasons name the best way and what it saves, or say that there is nothing to choose") {
        const Way drawn{}, quarter = turned_by(kTurns[1]);
        const auto why = [&](const std::vector<JudgedWay>& ways) {
            return why_in_words(ranked(ways, Aim::no_pool, kKnitters), drawn, Aim::no_pool, kKnitters);
        };
        CHECK(why({risky(drawn, 0.70, 0.5), risky(quarter, 0.0, 0.1)}) ==
              "Turned a quarter clockwise, on the knit side is best against pools: it pools for no one in 100 "
              "knitters (10 % pool, 90 % speckle); as you have it, it pools for 70 of 100 knitters (50 % pool, 50 % "
              "speckle).");
        CHECK(why({risky(drawn, 0.0, 0.1), risky(quarter, 0.70, 0.5)}).find("Lay it as you have it") == 0);
        CHECK(why({risky(drawn, 0.0, 0.1), risky(quarter, 0.70, 0.5)}).find("Worst would be turned a quarter") !=
              std::string::npos);
        CHECK(why({risky(drawn, 0.30), risky(quarter, 0.31)}).find("However it is laid") == 0);
        // No worst where knitters would see no more of it: other pools, the same risk.
        CHECK(why({risky(drawn, 0.30, 0.1), risky(quarter, 0.31, 0.5)}).find("Worst") == std::string::npos);
        std::vector<JudgedWay> faint{risky(drawn, 0, 0.5), risky(quarter, 0, 0.1)};
        for (JudgedWay& way : faint) way.shares.colour_range = 2.4;
        CHECK(why(faint).find("one colour") != std::string::npos);
        CHECK_THROWS_AS(why_in_words({}, drawn, Aim::no_pool, kKnitters), std::logic_error);
    }

    TEST_CASE("a design as drawn, upside down, and each of them mirrored pools alike at every round length") {
        const Way drawn{};
        for (const Way& other : {Way{.mirror = Mirror::left_right}, Way{.rotate = QuarterTurn::clockwise_180},
                                 Way{.rotate = QuarterTurn::clockwise_180, .mirror = Mirror::left_right}}) {
            CAPTURE(way_in_words(other));
            CHECK(largest_pool_difference(drawn, other) <= kTiedShares);
        }
    }

    TEST_CASE("a design turned a quarter either way, and each of them mirrored, pools alike at every round length") {
        const Way quarter{.rotate = QuarterTurn::clockwise_90};
        for (const Way& other : {Way{.rotate = QuarterTurn::clockwise_90, .mirror = Mirror::left_right},
                                 Way{.rotate = QuarterTurn::clockwise_270},
                                 Way{.rotate = QuarterTurn::clockwise_270, .mirror = Mirror::left_right}}) {
            CAPTURE(way_in_words(other));
            CHECK(largest_pool_difference(quarter, other) <= kTiedShares);
        }
    }

    TEST_CASE("that design turned by a quarter is another yarn and pools differently") {
        CHECK(largest_pool_difference({}, {.rotate = QuarterTurn::clockwise_90}) > 3 * kTiedShares);
    }

    TEST_CASE("the purl side of the same lay pools as the knit side does") {
        for (const QuarterTurn turn : kTurns)
            CHECK(largest_pool_difference({.rotate = turn}, {.rotate = turn, .painted = Painted::back}) <= kTiedShares);
    }
}
