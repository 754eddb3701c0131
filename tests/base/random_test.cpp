#include "loopread/base/random.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

using namespace loopread;

namespace {

/// Mean, variance and the like of many draws.
struct Moments {
    double mean = 0, variance = 0, skew = 0, excess = 0;
};

template <class Draw>
Moments moments(int count, Draw draw) {
    double sum[5] = {};
    for (int i = 0; i < count; ++i) {
        const double x = draw();
        for (int power = 1; power <= 4; ++power) sum[power] += std::pow(x, power) / count;
    }
    return {sum[1], sum[2] - sum[1] * sum[1], sum[3], sum[4] - 3};
}

constexpr int kDraws = 200'000;
const double kError = 1 / std::sqrt(kDraws);  // standard error of the mean of deviates of variance 1

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("the generator gives the published numbers of SplitMix64") {
        // Rosetta Code, "Pseudo-random numbers/Splitmix64": seed 1234567; the same in several public test suites
        Random random(1234567);
        for (const std::uint64_t expected : {6457827717110365317U, 3203168211198807973U, 9817491932198370423U,
                                             4593380528125082431U, 16408922859458223821U})
            CHECK(random.bits() == expected);
        Random zero(0);
        CHECK(zero.bits() == 0xe220a8397b1dcdafU);
        CHECK(zero.bits() == 0x6e789e6aa1b965f4U);
    }

    TEST_CASE("normal quantiles are those published with the algorithm and in tables") {
        struct Quantile {
            double p, z;
        };
        const Quantile published[] = {
            {0.25, -0.6744897501960817},  // the three test values of [Wichura 1988], one for each branch
            {0.001, -3.090232306167814}, {1e-20, -9.262340089798408},
            {0.975, 1.959963984540054},  // the usual tables: the bounds of 95, 90, 80 and 99 %
            {0.95, 1.6448536269514722},  {0.9, 1.2815515655446004},
            {0.995, 2.5758293035489004},
        };
        constexpr double kRelative = 1e-14;  // the algorithm promises about 1e-16, rounding adds some
        for (const Quantile& one : published) {
            CAPTURE(one.p);
            CHECK(std::abs(normal_quantile(one.p) - one.z) <= kRelative * std::abs(one.z));
        }
        CHECK(normal_quantile(0.5) == 0);
    }

    TEST_CASE("normal quantiles undo the normal distribution over all three branches") {
        // The error function of the standard library is the outside check; an error e of z is one of z e, relative, of
        // p.
        double worst = 0;
        for (double exponent = -300; exponent < -0.31; exponent += 0.01) {
            const double p = std::pow(10, exponent);
            const double z = normal_quantile(p);
            const double back = std::erfc(-z / std::sqrt(2.0)) / 2;
            worst = std::max(worst, std::abs(back - p) / p / std::max(1.0, z * z));
        }
        CHECK(worst < 2e-15);
    }

    TEST_CASE("normal quantiles are odd about one half and never fall") {
        double last = -std::numeric_limits<double>::infinity();
        for (int i = 1; i < 4096; ++i) {
            const double p = i / 4096.0;  // exact, and so is 1 - p
            CHECK(normal_quantile(p) == -normal_quantile(1 - p));
            CHECK(normal_quantile(p) > last);
            last = normal_quantile(p);
        }
        for (const double p : {0.0, 1.0, -0.1, 1.1, std::numeric_limits<double>::quiet_NaN()})
            CHECK_THROWS_AS(normal_quantile(p), std::logic_error);
    }

    TEST_CASE("uniform numbers fill their interval evenly and never touch an end") {
        Random random(42);
        std::array<int, 20> counts{};
        double least = 1, most = 0;
        const Moments m = moments(kDraws, [&] {
            const double x = random.uniform();
            ++counts[static_cast<std::size_t>(x * 20)];
            least = std::min(least, x);
            most = std::max(most, x);
            return x;
        });
        CHECK(least > 0);
        CHECK(most < 1);
        CHECK(std::abs(m.mean - 0.5) < 4 * kError * std::sqrt(1.0 / 12));
        double chi2 = 0;
        for (const int count : counts) chi2 += std::pow(count - kDraws / 20.0, 2) / (kDraws / 20.0);
        CHECK(chi2 < 43.8);  // chi-squared of 19 degrees at 0.999
    }

    TEST_CASE("normal numbers have the moments of the normal distribution") {
        Random random(42);
        const Moments m = moments(kDraws, [&random] { return random.normal(); });
        CHECK(std::abs(m.mean) < 4 * kError);
        CHECK(std::abs(m.variance - 1) < 4 * kError * std::sqrt(2.0));
        CHECK(std::abs(m.skew) < 4 * kError * std::sqrt(15.0));
        CHECK(std::abs(m.excess) < 4 * kError * std::sqrt(96.0));
    }

    TEST_CASE("seeds and purposes give streams that have nothing to do with each other") {
        Random a(1, 1), again(1, 1), other_purpose(1, 2), other_seed(2, 1);
        double with_purpose = 0, with_seed = 0;
        for (int i = 0; i < kDraws; ++i) {
            const double x = a.normal();
            REQUIRE(x == again.normal());
            with_purpose += x * other_purpose.normal() / kDraws;
            with_seed += x * other_seed.normal() / kDraws;
        }
        CHECK(std::abs(with_purpose) < 4 * kError);
        CHECK(std::abs(with_seed) < 4 * kError);
    }

    TEST_CASE("the value of a place is its own and neighbours do not agree") {
        CHECK(hashed_unit(1, 2, 3, 4) == hashed_unit(1, 2, 3, 4));
        CHECK(hashed_unit(1, 2, 3) != hashed_unit(1, 3, 2));
        CHECK(hashed_unit(1, 2, 0, 3) != hashed_unit(1, 2, 3, 0));
        CHECK(hashed_unit(1, -1) != hashed_unit(1, 1));
        double mean = 0, neighbours = 0, seeds = 0;
        constexpr int kSide = 400;
        for (int x = 0; x < kSide; ++x)
            for (int y = 0; y < kSide; ++y) {
                const double here = hashed_unit(7, x, y);
                REQUIRE(here >= 0);
                REQUIRE(here < 1);
                mean += here / (kSide * kSide);
                neighbours += 12 * (here - 0.5) * (hashed_unit(7, x + 1, y) - 0.5) / (kSide * kSide);
                seeds += 12 * (here - 0.5) * (hashed_unit(8, x, y) - 0.5) / (kSide * kSide);
            }
        CHECK(std::abs(mean - 0.5) < 4.0 / kSide * std::sqrt(1.0 / 12));
        CHECK(std::abs(neighbours) < 4.0 / kSide);
        CHECK(std::abs(seeds) < 4.0 / kSide);
    }
}
