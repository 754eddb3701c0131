#include "loopread/lay/change.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>

using namespace loopread;

namespace {

constexpr double kYarnMm = 13;

/// A stitch count and the risk there; under 0: not known.
struct At {
    int stitches = 0;
    double risk = 0;
};

/// Rounds of 56 to 80 stitches, 73 to 104 cm, clear but for those named.
std::vector<RoundRisk> clear_but(const std::vector<At>& others) {
    std::vector<RoundRisk> risks;
    for (int n = 56; n <= 80; ++n) {
        RoundRisk risk{.stitches = n, .yarn_per_round_mm = n * kYarnMm};
        for (const At& other : others)
            if (other.stitches == n) {
                risk.risk = std::max(0.0, other.risk);
                risk.known = other.risk >= 0;
            }
        risks.push_back(risk);
    }
    return risks;
}

/// All pool but for those named.
std::vector<RoundRisk> pooling_but(const std::vector<At>& others) {
    std::vector<RoundRisk> risks = clear_but({});
    for (RoundRisk& risk : risks) {
        risk.risk = 0.6;
        for (const At& other : others)
            if (other.stitches == risk.stitches) risk.risk = other.risk;
    }
    return risks;
}

AskedRound asked(int stitches = 64) {
    return {stitches, stitches * kYarnMm};
}

FabricLook contrast(double colour_range) {
    FabricLook look;
    look.shares.colour_range = colour_range;
    look.verdict.kind = "speckle";
    return look;
}
const FabricLook kPlain = contrast(20);

/// Seen as pools, though hardly any knitter's fabric counts as pooling.
FabricLook seen_as_pools(int lean) {
    FabricLook look = contrast(20);
    look.shares.pool = 0.3;
    look.shares.lean = lean;
    look.verdict.kind = "pools";
    look.verdict.slants = lean != 0;
    return look;
}

JudgedWay way(QuarterTurn turn, double risk, int tie, double pool = 0.3) {
    JudgedWay judged{.way = {.rotate = turn}};
    judged.pool_risk = risk;
    judged.tie = tie;
    judged.shares.pool = pool;
    return judged;
}

std::string words_of(const std::vector<RoundRisk>& risks, const AskedRound& round, const FabricLook& look,
                     const std::vector<JudgedWay>& ways, const Way& as_asked) {
    return one_change(risks, round, look, ways, as_asked).words;
}

bool begins(const std::string& sentence, const std::string& words) {
    return sentence.rfind(words, 0) == 0;
}
bool holds(const std::string& sentence, const std::string& words) {
    return sentence.find(words) != std::string::npos;
}

}  // namespace

TEST_SUITE("lay") {
    TEST_CASE("where a fabric has no shares nothing is advised, and the reason is told") {
        FabricLook none = kPlain;
        none.shares.why_none = "there are fewer than three rounds";
        const OneChange change = one_change(pooling_but({}), asked(), none, {}, {});
        CHECK(change.words == "there are fewer than three rounds");
        CHECK_FALSE(change.needed);
    }

    TEST_CASE("too little contrast goes before any pool") {
        const std::string unseen = words_of(pooling_but({}), asked(), contrast(2.4), {}, {});
        CHECK(begins(unseen, "Make the colours differ more"));
        CHECK(holds(unseen, "too small to be seen (colour range 2.4)"));
        const std::string faint = words_of(pooling_but({}), asked(), contrast(2.5), {}, {});
        CHECK(holds(faint, "the contrast is faint (colour range 2.5)"));
        CHECK(begins(words_of(pooling_but({}), asked(), contrast(4.9), {}, {}), "Make the colours differ more"));
        CHECK_FALSE(holds(words_of(pooling_but({}), asked(), contrast(5.0), {}, {}), "contrast"));
    }

    TEST_CASE("a stitch count near by is the first cure for a round that pools") {
        const std::string change = words_of(pooling_but({{60, 0.03}}), asked(), kPlain,
                                            {way(QuarterTurn::clockwise_90, 0, 1), way(QuarterTurn::none, 0.6, 2)}, {});
        CHECK(change ==
              "Knit 60 stitches instead of 64 (78 cm of yarn in a round): it then pools for 3 of 100 knitters instead "
              "of 60.");
    }

    TEST_CASE("eight stitches are near, nine are not") {
        CHECK(begins(words_of(pooling_but({{72, 0.1}}), asked(), kPlain, {}, {}), "Knit 72 stitches instead of 64"));
        CHECK(begins(words_of(pooling_but({{56, 0.1}}), asked(), kPlain, {}, {}), "Knit 56 stitches instead of 64"));
        CHECK_FALSE(begins(words_of(pooling_but({{73, 0.1}}), asked(), kPlain, {}, {}), "Knit"));
        CHECK_FALSE(begins(words_of(pooling_but({{72, 0.101}}), asked(), kPlain, {}, {}), "Knit"));
    }

    TEST_CASE("without a count near by the best other lay is the cure, if it is clear") {
        const std::vector<JudgedWay> ways{way(QuarterTurn::clockwise_90, 0.04, 1), way(QuarterTurn::none, 0.6, 2)};
        CHECK(
            words_of(pooling_but({{80, 0}}), asked(), kPlain, ways, {}) ==
            "Lay the design turned a quarter clockwise, on the knit side: it then pools for 4 of 100 knitters instead "
            "of 60.");
    }

    TEST_CASE("a lay that pools too, or is the one asked for, is no cure, nor is there one where there are no ways") {
        const std::string no_cure =
            "It pools for 60 of 100 knitters, and neither a stitch count near by nor another lay";
        const std::vector<JudgedWay> pooling{way(QuarterTurn::clockwise_90, 0.2, 1), way(QuarterTurn::none, 0.6, 2)};
        CHECK(begins(words_of(pooling_but({}), asked(), kPlain, pooling, {}), no_cure));
        const std::vector<JudgedWay> same{way(QuarterTurn::none, 0.1, 1), way(QuarterTurn::clockwise_90, 0.6, 2)};
        CHECK(begins(words_of(pooling_but({}), asked(), kPlain, same, {}), no_cure));
        const std::string none = words_of(pooling_but({}), asked(), kPlain, {}, {});
        CHECK(begins(none, "It pools for 60 of 100 knitters, and no stitch count near by helps: try another lay"));
        CHECK(holds(none, "--nudge"));
    }

    TEST_CASE("a clear round of one's own does not hide that customers' rounds pool") {
        const std::string change = words_of(clear_but({{70, 0.3}, {71, 0.45}, {72, 0.2}}), asked(), kPlain, {}, {});
        CHECK(begins(change, "Your own round is clear, but not every customer's"));
        CHECK(holds(change, "at 92 cm (71 stitches) it pools for 45 of 100 knitters"));
        CHECK(holds(change, "clear at 73 to 90 cm: 56, 60, 64 and 68 stitches"));
        CHECK(holds(change, "--nudge"));
    }

    TEST_CASE("rounds under 75 and over 100 cm are no customer's") {
        CHECK(begins(words_of(clear_but({{57, 0.9}, {77, 0.9}}), asked(), kPlain, {}, {}), "It stays clear"));
        CHECK(holds(words_of(clear_but({{58, 0.9}}), asked(), kPlain, {}, {}), "at 75 cm (58 stitches)"));
        CHECK(holds(words_of(clear_but({{76, 0.9}}), asked(), kPlain, {}, {}), "at 99 cm (76 stitches)"));
    }

    TEST_CASE("where every usual round is clear nothing needs changing, one in ten being clear") {
        CHECK(words_of(clear_but({}), asked(), kPlain, {}, {}) ==
              "It stays clear of pools at any round of 75 to 100 cm.");
        CHECK(begins(words_of(clear_but({{64, 0.1}, {70, 0.1}}), asked(), kPlain, {}, {}), "It stays clear"));
    }

    TEST_CASE("a change is needed for faint colours, own pools and customers' pools, and for nothing else") {
        CHECK(one_change(clear_but({}), asked(), contrast(3), {}, {}).needed);
        CHECK(one_change(clear_but({{64, 0.11}}), asked(), kPlain, {}, {}).needed);
        CHECK(one_change(pooling_but({}), asked(), kPlain, {}, {}).needed);
        CHECK(one_change(clear_but({{70, 0.11}}), asked(), kPlain, {}, {}).needed);
        CHECK_FALSE(one_change(clear_but({}), asked(), kPlain, {}, {}).needed);
        CHECK_FALSE(one_change(clear_but({}), asked(), seen_as_pools(4), {}, {}).needed);
    }

    TEST_CASE("a pattern that slants too far to pool is told, with the lay in which it goes if there is one") {
        const std::string slants =
            "The pattern slants: its colours move too far from round to round to count as pooling.";
        CHECK(words_of(clear_but({}), asked(), seen_as_pools(4), {}, {}) == slants);
        const JudgedWay quarter = way(QuarterTurn::clockwise_90, 0, 1, 0.1), own = way(QuarterTurn::none, 0, 2, 0.3);
        CHECK(
            words_of(clear_but({}), asked(), seen_as_pools(4), {quarter, own}, {}) ==
            slants +
                " Laid turned a quarter clockwise, on the knit side, most of it would go (10 % pool instead of 30 %).");
        const JudgedWay hardly_less = way(QuarterTurn::clockwise_90, 0, 1, 0.16);
        CHECK(words_of(clear_but({}), asked(), seen_as_pools(4), {hardly_less, own}, {}) == slants);
        const JudgedWay tied = way(QuarterTurn::none, 0, 1, 0.3);
        CHECK(words_of(clear_but({}), asked(), seen_as_pools(4), {quarter, tied}, {}) == slants);
        CHECK(begins(words_of(clear_but({{70, 0.3}}), asked(), seen_as_pools(4), {}, {}), "Your own round is clear"));
    }

    TEST_CASE("pools that stand upright are not said to slant") {
        FabricLook upright = seen_as_pools(0);
        upright.shares.colour_range = 6;  // x sqrt(0.3) is 3.3, under the 5 that counts
        CHECK_FALSE(holds(words_of(clear_but({}), asked(), upright, {}, {}), "slants"));
    }

    TEST_CASE("the asked-for round has to be among the lengths") {
        CHECK_THROWS_AS(words_of(clear_but({}), asked(90), kPlain, {}, {}), std::logic_error);
    }

    TEST_CASE("it is not said to stay clear at usual rounds of which nothing is known") {
        std::vector<RoundRisk> risks = clear_but({});
        for (RoundRisk& risk : risks) risk.known = risk.stitches == 56;
        CHECK_FALSE(holds(words_of(risks, asked(56), kPlain, {}, {}), "tays clear of pools at any round"));
    }

    TEST_CASE("a clear count near by is not denied because it is not in fours") {
        const std::string change = words_of(pooling_but({{65, 0.0}, {76, 0.0}}), asked(), kPlain, {}, {});
        CHECK_FALSE(holds(change, "neither a stitch count near by"));
    }

    TEST_CASE("another lay that ties with one's own is no cure") {
        const std::vector<JudgedWay> ways{way(QuarterTurn::none, 0.10, 1), way(QuarterTurn::clockwise_180, 0.11, 1)};
        const std::string change =
            words_of(pooling_but({{64, 0.11}}), asked(), kPlain, ways, {.rotate = QuarterTurn::clockwise_180});
        CHECK_FALSE(begins(change, "Lay the design"));
    }
}
