#include "loopread/shares/advice.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

using namespace loopread;

namespace {

constexpr double kYarnMm = 13;
constexpr double kRounding = 1e-9;

/// A stitch count and the risk there; under 0: not known.
struct At {
    int stitches = 0;
    double risk = 0;
};
std::vector<RoundRisk> risks_of(const std::vector<At>& points) {
    std::vector<RoundRisk> risks;
    for (const At& point : points)
        risks.push_back({.stitches = point.stitches,
                         .yarn_per_round_mm = point.stitches * kYarnMm,
                         .risk = std::max(0.0, point.risk),
                         .known = point.risk >= 0});
    return risks;
}

/// All counts from 56 to 76, clear at those named.
std::vector<RoundRisk> clear_only_at(const std::vector<int>& clear) {
    std::vector<At> points;
    for (int n = 56; n <= 76; ++n) points.push_back({n, std::count(clear.begin(), clear.end(), n) > 0 ? 0.02 : 0.6});
    return risks_of(points);
}

AskedRound asked(int stitches) {
    return {stitches, stitches * kYarnMm};
}

std::optional<int> nearest_to_64(const std::vector<int>& clear) {
    return nearest_clear_count(clear_only_at(clear), asked(64));
}

bool said(const std::vector<std::string>& advice, const std::string& part) {
    return std::any_of(advice.begin(), advice.end(),
                       [&](const std::string& sentence) { return sentence.find(part) != std::string::npos; });
}

/// Advice at 64 stitches of 10 mm (64 cm a round) where only one other round is clear, so much longer or shorter.
std::vector<std::string> advice_for_change(double percent) {
    const std::vector<RoundRisk> risks{
        {.stitches = 64, .yarn_per_round_mm = 640, .risk = 0.5},
        {.stitches = percent > 0 ? 65 : 63, .yarn_per_round_mm = 640 * (1 + percent / 100), .risk = 0}};
    return knitting_advice(risks, {64, 640});
}

SweepPoint point_of(int stitches, double risk, double pool, const std::string& why_none = {}) {
    SweepPoint point{.stitches = stitches, .yarn_per_round_mm = stitches * kYarnMm};
    point.pool_risk = risk;
    point.shares.pool = pool;
    point.shares.why_none = why_none;
    return point;
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("the worse strand is what is feared at a round, and what one cannot tell is not known") {
        const std::vector<std::vector<SweepPoint>> sweeps{
            {point_of(60, 0.1, 0.5), point_of(64, 0.6, 0.1), point_of(68, 0.2, 0.2)},
            {point_of(60, 0.4, 0.3), point_of(64, 0.5, 0.2), point_of(68, 0.0, 0.0, "too few rounds")}};
        const std::vector<RoundRisk> risks = round_risks(sweeps);
        REQUIRE(risks.size() == 3);
        CHECK(risks[0].risk == 0.4);
        CHECK(risks[0].pool == 0.5);
        CHECK(risks[0].known);
        CHECK(risks[1].risk == 0.6);
        CHECK(risks[1].pool == 0.2);
        CHECK(risks[1].stitches == 64);
        CHECK(std::abs(risks[1].yarn_per_round_mm - 64 * kYarnMm) < kRounding);
        CHECK_FALSE(risks[2].known);
        CHECK_THROWS_AS(round_risks({}), std::logic_error);
        const std::vector<std::vector<SweepPoint>> uneven{{point_of(60, 0, 0)}, {point_of(61, 0, 0)}};
        CHECK_THROWS_AS(round_risks(uneven), std::logic_error);
        const std::vector<std::vector<SweepPoint>> shorter{{point_of(60, 0, 0), point_of(61, 0, 0)},
                                                           {point_of(60, 0, 0)}};
        CHECK_THROWS_AS(round_risks(shorter), std::logic_error);
    }

    TEST_CASE("no stretch is clear where all pool, one from end to end where none does") {
        CHECK(clear_stretches(clear_only_at({})).empty());
        CHECK(clear_stretches({}).empty());
        const auto stretches = clear_stretches(risks_of({{60, 0}, {61, 0.1}, {62, 0.05}, {63, 0}, {64, 0.1}}));
        REQUIRE(stretches.size() == 1);
        CHECK(std::abs(stretches[0].from_mm - 60 * kYarnMm) < kRounding);
        CHECK(std::abs(stretches[0].to_mm - 64 * kYarnMm) < kRounding);
        CHECK(stretches[0].fours == std::vector<int>{60, 64});
    }

    TEST_CASE("one clear count is a stretch of its own") {
        const auto stretches = clear_stretches(clear_only_at({68}));
        REQUIRE(stretches.size() == 1);
        CHECK(stretches[0].from_mm == stretches[0].to_mm);
        CHECK(stretches[0].fours == std::vector<int>{68});
        CHECK(clear_stretches(clear_only_at({67}))[0].fours.empty());
    }

    TEST_CASE("clear at both ends is two stretches") {
        const auto stretches = clear_stretches(clear_only_at({56, 57, 58, 74, 75, 76}));
        REQUIRE(stretches.size() == 2);
        CHECK(std::abs(stretches[0].from_mm - 56 * kYarnMm) < kRounding);
        CHECK(std::abs(stretches[0].to_mm - 58 * kYarnMm) < kRounding);
        CHECK(std::abs(stretches[1].from_mm - 74 * kYarnMm) < kRounding);
        CHECK(std::abs(stretches[1].to_mm - 76 * kYarnMm) < kRounding);
        CHECK(stretches[1].fours == std::vector<int>{76});
    }

    TEST_CASE("one in ten is clear, one more in a thousand is not, and what is not known is not clear") {
        CHECK(clear_stretches(risks_of({{60, 0.100}, {61, 0.101}, {62, 0.1}})).size() == 2);
        CHECK(clear_stretches(risks_of({{60, 0.0}, {61, -1}, {62, 0.0}})).size() == 2);
        CHECK(clear_stretches(risks_of({{61, -1}})).empty());
    }

    TEST_CASE("a stretch is said in whole centimetres with its counts in fours") {
        CHECK(stretch_in_words({780, 832, {60, 64}}) == "78 to 83 cm: 60 and 64 stitches");
        CHECK(stretch_in_words({832, 832, {64}}) == "83 cm: 64 stitches");
        CHECK(stretch_in_words({828, 834, {64}}) == "83 cm: 64 stitches");
        CHECK(stretch_in_words({793, 819, {}}) == "79 to 82 cm");
        CHECK(stretch_in_words({750, 850, {60, 64, 68}}) == "75 to 85 cm: 60, 64 and 68 stitches");
        CHECK(stretch_in_words({750, 1000, {56, 60, 64, 68}}) == "75 to 100 cm: 56, 60, 64 and 68 stitches");
        CHECK(stretch_in_words({750, 1000, {56, 60, 64, 68, 72}}) == "75 to 100 cm: 56, 60 ... 72 stitches");
    }

    TEST_CASE("the asked-for count comes back where it is clear itself, in fours or not") {
        CHECK(nearest_to_64({60, 64, 68}) == 64);
        CHECK(nearest_clear_count(clear_only_at({63, 64}), asked(63)) == 63);
    }

    TEST_CASE("the nearest clear count in fours comes before nearer ones that are not") {
        CHECK(nearest_to_64({63, 65, 72}) == 72);
        CHECK(nearest_to_64({56, 63, 65}) == 56);
        CHECK(nearest_to_64({60, 72}) == 60);
        CHECK(nearest_to_64({56, 68}) == 68);
        CHECK(nearest_to_64({56, 60}) == 60);
    }

    TEST_CASE("with none in fours clear any clear count will do, the nearest") {
        CHECK(nearest_to_64({61, 66}) == 66);
        CHECK(nearest_to_64({62, 67}) == 62);
        CHECK(nearest_to_64({57}) == 57);
        CHECK(nearest_to_64({75}) == 75);
    }

    TEST_CASE("equally far below and above, the wider is taken") {
        CHECK(nearest_to_64({60, 68}) == 68);
        CHECK(nearest_to_64({63, 65}) == 65);
    }

    TEST_CASE("no count comes back where none is clear or none is known") {
        CHECK_FALSE(nearest_to_64({}).has_value());
        CHECK_FALSE(nearest_clear_count({}, asked(64)).has_value());
        CHECK_FALSE(nearest_clear_count(risks_of({{60, -1}, {64, -1}, {68, -1}}), asked(64)).has_value());
    }

    TEST_CASE("risk is said in knitters of a hundred, at the asked-for round") {
        const auto risks = risks_of({{60, 0.33}, {64, 0.004}, {68, 1}, {72, -1}});
        CHECK(risk_in_words(risks, asked(60)) ==
              "33 of 100 knitters would see marked pools at 78 cm of yarn in a round (60 stitches).");
        CHECK(risk_in_words(risks, {60, 849}).find("at 84.9 cm of yarn") != std::string::npos);
        CHECK(risk_in_words(risks, asked(64)).find("No one of 100 knitters") == 0);
        CHECK(risk_in_words(risks, asked(68)).find("100 of 100 knitters") == 0);
        CHECK(risk_in_words(risks, asked(72)).find("Nothing can be told of pools at 93.6 cm") == 0);
        CHECK_THROWS_AS(risk_in_words({}, asked(72)), std::logic_error);
    }

    TEST_CASE("who is clear is told to stay, and nothing about needles or other counts") {
        const auto advice = knitting_advice(clear_only_at({60, 64}), asked(64));
        CHECK(said(advice, "Measure your own round"));
        CHECK(said(advice, "stay with 64 stitches"));
        CHECK_FALSE(said(advice, "needle"));
        CHECK_FALSE(said(advice, "Nearest clear"));
        CHECK_FALSE(said(advice, "alternat"));
    }

    TEST_CASE("who pools is told the nearest clear counts in fours, fewer and more, with their yarn") {
        CHECK(said(knitting_advice(clear_only_at({56, 60, 72}), asked(64)),
                   "Nearest clear stitch counts at the same gauge, in multiples of four: 60 and 72 (78 cm and 94 cm of "
                   "yarn in a round)."));
        CHECK(said(knitting_advice(clear_only_at({68, 72}), asked(64)), "in multiples of four: 68 (88 cm of yarn"));
        CHECK(said(knitting_advice(clear_only_at({63}), asked(64)),
                   "No stitch count that is a multiple of four is clear"));
        CHECK(said(knitting_advice(clear_only_at({60}), asked(64)), "alternating two ends"));
    }

    // 4 % a quarter of a millimetre: common practice, no source.
    TEST_CASE("a needle a quarter of a millimetre thicker gives 4 percent more yarn in a round") {
        CHECK(said(advice_for_change(4), "a needle 0.25 mm thicker takes about 2.6 cm more yarn in a round"));
        CHECK(said(advice_for_change(-4), "a needle 0.25 mm thinner takes about 2.6 cm less yarn in a round"));
        CHECK(said(advice_for_change(-3), "a needle 0.25 mm thinner"));
        CHECK(said(advice_for_change(8), "a needle 0.5 mm thicker"));
        CHECK(said(advice_for_change(-12), "a needle 0.75 mm thinner"));
        CHECK(said(advice_for_change(4), "Or keep 64 stitches"));
        CHECK(said(advice_for_change(4), "about 4 %; common practice, not measured"));
    }

    TEST_CASE("no other needle is named where it would take one over three quarters of a millimetre off") {
        // Clear lengths are looked at a stitch (1.6 %) apart, so that 12 % stands for up to 13.6 %.
        CHECK_FALSE(said(advice_for_change(14), "needle"));
        CHECK_FALSE(said(advice_for_change(-14), "needle"));
        CHECK_FALSE(said(knitting_advice(clear_only_at({}), asked(64)), "needle"));
    }

    TEST_CASE("needles are named either way, the least change that makes a clear round") {
        const auto advice = knitting_advice(clear_only_at({62, 61, 60, 69}), asked(64));
        CHECK(said(advice, "a needle 0.25 mm thinner"));  // 4 % of 64 stitches are 2.6
        CHECK(said(advice, "a needle 0.5 mm thicker"));   // 8 % are 5.1
    }

    TEST_CASE("a risk worked out for alternated balls is told against that without, and replaces the hint") {
        const auto advice = knitting_advice(clear_only_at({60}), asked(64), 0.07);
        CHECK(said(advice, "7 of 100 knitters would see pools, against 60 without"));
        CHECK_FALSE(said(advice, "--alternate 2 shows it"));
    }

    TEST_CASE("where nothing is known no count and no needle is advised") {
        const auto advice = knitting_advice(risks_of({{60, 0}, {64, -1}}), asked(64));
        CHECK(said(advice, "Measure your own round"));
        CHECK_FALSE(said(advice, "Nearest clear"));
        CHECK_FALSE(said(advice, "stay with"));
        CHECK_FALSE(said(advice, "needle"));
    }

    TEST_CASE("no risk is told for a round of which none is known") {
        const auto advice = knitting_advice(risks_of({{60, 0}, {64, -1}}), asked(64), 0.07);
        CHECK_FALSE(said(advice, "against 0 without"));
    }

    TEST_CASE("the needle named is the one that comes nearest to the round named beside it") {
        CHECK(said(advice_for_change(4.5), "a needle 0.25 mm thicker"));
        CHECK(said(advice_for_change(-9), "a needle 0.5 mm thinner"));
    }

    TEST_CASE("no needle is named that makes a round which pools") {
        CHECK_FALSE(said(knitting_advice(clear_only_at({65}), asked(64)), "0.25 mm thicker"));
        CHECK_FALSE(said(knitting_advice(clear_only_at({63}), asked(64)), "0.25 mm thinner"));
        CHECK(said(knitting_advice(clear_only_at({66, 67}), asked(64)), "0.25 mm thicker"));
    }

    TEST_CASE("balls are as good as identical under a difference of 1, no twins from there, plainly over 4") {
        CHECK(pair_in_words(PairRange{0.2, 0.99}).find("as good as identical") != std::string::npos);
        CHECK(pair_in_words(PairRange{0.2, 1.0}).find("no twins") != std::string::npos);
        CHECK(pair_in_words(PairRange{0.2, 1.0}).find("identical") == std::string::npos);
        CHECK(pair_in_words(PairRange{4.0, 6.0}).find("plainly") == std::string::npos);
        CHECK(pair_in_words(PairRange{4.01, 6.0}).find("differ plainly") != std::string::npos);
        CHECK(pair_in_words(PairRange{1.2, 6.0}).find("plainly") == std::string::npos);
        CHECK(pair_in_words(PairRange{1.24, 6.0}).find("1.2 to 6, CIEDE2000") != std::string::npos);
        CHECK(pair_in_words(std::nullopt).find("One strand") == 0);
    }
}
