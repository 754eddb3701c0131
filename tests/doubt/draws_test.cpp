#include "loopread/doubt/draws.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

#include "doubt/painted_blank.h"

using namespace loopread;
using namespace loopread::doubt_test;

namespace {

constexpr double kRounding = 1e-12;   // relative
constexpr double kInStrata = 0.005;   // a hundred points lie anywhere in their hundredths
constexpr double kByChance = 0.1;     // of the variance, between five groups of twenty draws that do not differ
constexpr double kCorrelation = 0.3;  // three standard deviations of that of a hundred independent pairs

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("of a plan's points each stratum of each coordinate holds exactly one") {
        for (const int count : {1, 7, 100})
            for (const std::uint64_t seed : {1U, 2U, 99U}) {
                const auto points = latin_hypercube(count, 5, seed);
                REQUIRE(points.size() == static_cast<std::size_t>(count));
                for (std::size_t d = 0; d < 5; ++d) {
                    std::set<int> strata;
                    for (const auto& point : points) {
                        REQUIRE(point.size() == 5);
                        CHECK((point[d] > 0 && point[d] < 1));
                        strata.insert(static_cast<int>(point[d] * count));
                    }
                    CHECK(strata.size() == static_cast<std::size_t>(count));
                }
            }
    }

    TEST_CASE("a plan's coordinates do not go together, and another seed is another plan") {
        const auto points = latin_hypercube(100, 5, 1);
        for (std::size_t a = 0; a < 5; ++a)
            for (std::size_t b = 0; b < a; ++b) {
                double product = 0;  // of uniforms about their mean; 1/12 each for one that goes with itself
                for (const auto& point : points) product += (point[a] - 0.5) * (point[b] - 0.5) * 12 / 100;
                CHECK(std::abs(product) < kCorrelation);
            }
        CHECK(latin_hypercube(100, 5, 1) == points);
        CHECK(latin_hypercube(100, 5, 2) != points);
    }

    TEST_CASE("draws keep to their ranges, held figures do not move, and only two strands wind anew") {
        Ranges ranges = usual_ranges();
        ranges[Unmeasured::wrap] = held(0.6);
        const WindingOptions winding{{80}, {20}, 5};
        std::set<std::uint64_t> seeds;
        for (const Draw& draw : draws_from(ranges, winding, Winds::anew, 100)) {
            CHECK(draw.wrap == 0.6);
            CHECK((draw.penetration > kLeastPenetration && draw.penetration < kMostPenetration));
            CHECK((draw.yarn > ranges[Unmeasured::yarn].low && draw.yarn < ranges[Unmeasured::yarn].high));
            seeds.insert(draw.winding.seed);
        }
        CHECK(seeds.size() == 100);
        for (const Draw& draw : draws_from(ranges, winding, Winds::as_in_use, 20)) {
            CHECK(draw.winding.seed == 5);
            CHECK(draw.winding.turn.value == 80);
        }
    }

    TEST_CASE("a figure that decides an answer moves all of it, one that does not moves next to nothing") {
        const auto points = latin_hypercube(100, 2, 3);
        std::vector<double> first, second;
        std::vector<std::vector<double>> flips, slopes, nothing;
        for (const auto& point : points) {
            first.push_back(point[0]);
            second.push_back(point[1]);
            flips.push_back({point[0] < 0.4 ? 1.0 : 0.0, point[0] < 0.4 ? 0.0 : 1.0});
            slopes.push_back({point[0]});
            nothing.push_back({4});
        }
        CHECK(moved_share(first, flips) == doctest::Approx(1).epsilon(kRounding));
        // Between five groups lies 1 - 1/25 of an even spread's variance, of which chance takes 4/95 of the rest.
        CHECK(moved_share(first, slopes) == doctest::Approx(0.96 - 4.0 / 95 * 0.04).epsilon(kInStrata));
        CHECK(moved_share(second, flips) < kByChance);
        CHECK(moved_share(first, nothing) == 0);
    }

    TEST_CASE("the part moved is that of an analysis of variance worked by hand") {
        // Ten draws, pairs (0,2) (4,6) (2,4) (8,6) (0,0) in order of the figure: mean 3.2, group means 1 5 3 7 0.
        // Between: 2 (4.84 + 3.24 + 0.04 + 14.44 + 10.24) = 65.6. Within: 4 x 2 = 8. Whole: 73.6.
        // Chance: 4 x 8 / 5 = 6.4, so (65.6 - 6.4) / 73.6.
        const std::vector<double> figure{1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
        const std::vector<std::vector<double>> answer{{0}, {2}, {4}, {6}, {2}, {4}, {8}, {6}, {0}, {0}};
        CHECK(moved_share(figure, answer) == doctest::Approx(59.2 / 73.6).epsilon(kRounding));
    }
}
