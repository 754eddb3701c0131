#include "loopread/shares/round_lengths.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>

using namespace loopread;

namespace {

/// All whole numbers, asked one by one.
template <class Wanted>
std::vector<int> counted(Wanted wanted) {
    std::vector<int> counts;
    for (int n = 1; n < 3000; ++n)
        if (wanted(n)) counts.push_back(n);
    return counts;
}

RoundRisk risk_of(int stitches, double risk, double pool) {
    return {.stitches = stitches, .yarn_per_round_mm = 13.0 * stitches, .risk = risk, .pool = pool};
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("usual counts are all those of 75 to 100 cm of yarn in a round") {
        for (const double yarn : {0.6, 7.3, 12.5, 13.1, 40.0}) {
            CAPTURE(yarn);
            CHECK(usual_counts({yarn}, 64) ==
                  counted([&](int n) { return n * yarn >= kShortestRoundMm && n * yarn <= kLongestRoundMm; }));
        }
        CHECK(usual_counts({12.5}, 64).front() == 60);  // both ends count
        CHECK(usual_counts({12.5}, 64).back() == 80);
    }

    TEST_CASE("where a stitch takes more than usual rounds do the asked-for count is left") {
        CHECK(usual_counts({1200}, 5) == std::vector<int>{5});
        CHECK(usual_counts({700}, 5) == std::vector<int>{5});  // 70 cm, then 140
        CHECK(usual_counts({800}, 5) == std::vector<int>{1});
    }

    TEST_CASE("swept counts are the range, the usual rounds and the asked-for count, each once and rising") {
        const std::vector<CountRange> ranges{{40, 120}, {70, 75}, {5, 8}, {200, 210}};
        for (const double yarn : {7.3, 13.1, 40.0})
            for (const CountRange range : ranges)
                for (const int asked : {1, 64, 72, 300}) {
                    CAPTURE(yarn);
                    CAPTURE(range.first);
                    CAPTURE(asked);
                    const std::vector<int> wanted = counted([&](int n) {
                        return (n >= range.first && n <= range.last) ||
                               (n * yarn >= kShortestRoundMm && n * yarn <= kLongestRoundMm) || n == asked;
                    });
                    CHECK(swept_counts(range, {yarn}, asked) == wanted);
                }
    }

    TEST_CASE("a round of 75 cm or 100 cm is swept however its yarn was divided among the stitches") {
        for (int n = 10; n <= 400; ++n) {
            CAPTURE(n);
            for (const double round_mm : {kShortestRoundMm, kLongestRoundMm}) {
                const std::vector<int> counts = swept_counts({1, 1}, {round_mm / n}, 1);
                CHECK(std::find(counts.begin(), counts.end(), n) != counts.end());
            }
        }
    }

    TEST_CASE("yarn tells something from three rounds of 16 stitches on") {
        const std::vector<int> counts{4, 15, 16, 64};
        CHECK(enough_to_tell({3 * 16 * 13.0}, {13}, counts));
        CHECK_FALSE(enough_to_tell({3 * 16 * 13.0 - 1}, {13}, counts));
        CHECK_FALSE(enough_to_tell({1e6}, {13}, std::vector<int>{4, 15}));  // rounds too narrow, however many
        CHECK_FALSE(enough_to_tell({1e6}, {13}, {}));
    }

    TEST_CASE("rounds to show are the asked-for one, the one with least risk and the one with most") {
        const std::vector<RoundRisk> risks{risk_of(60, 0.4, 0.2), risk_of(61, 0.1, 0.3), risk_of(62, 0.9, 0.4),
                                           risk_of(64, 0.5, 0.1)};
        const RoundsToShow rounds = rounds_to_show(risks, 64);
        CHECK(rounds.asked.stitches == 64);
        CHECK(rounds.fewest_pools.stitches == 61);
        CHECK(rounds.most_pools.stitches == 62);
        CHECK_THROWS_AS(rounds_to_show(risks, 63), std::logic_error);
    }

    TEST_CASE("rounds of one risk go by pool in twentieths, then by nearness to the asked-for one") {
        const std::vector<RoundRisk> by_pool{risk_of(50, 0, 0.30), risk_of(60, 0, 0.10), risk_of(64, 0, 0.20)};
        CHECK(rounds_to_show(by_pool, 64).fewest_pools.stitches == 60);
        CHECK(rounds_to_show(by_pool, 64).most_pools.stitches == 50);
        const std::vector<RoundRisk> alike{risk_of(50, 0, 0.205), risk_of(62, 0, 0.20), risk_of(70, 0, 0.195)};
        CHECK(rounds_to_show(alike, 62).fewest_pools.stitches == 62);
        CHECK(rounds_to_show(alike, 70).most_pools.stitches == 70);
    }

    TEST_CASE("a round of which nothing is known is neither the best nor the worst") {
        std::vector<RoundRisk> risks{risk_of(15, 0, 0), risk_of(60, 0.3, 0.2), risk_of(64, 0.5, 0.1),
                                     risk_of(900, 1, 1)};
        risks.front().known = risks.back().known = false;
        CHECK(rounds_to_show(risks, 15).fewest_pools.stitches == 60);
        CHECK(rounds_to_show(risks, 15).most_pools.stitches == 64);
        CHECK_FALSE(rounds_to_show(risks, 15).asked.known);
    }
}
