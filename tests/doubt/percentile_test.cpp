#include "loopread/doubt/percentile.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

using namespace loopread;

namespace {
constexpr double kClosedForm = 1e-12;  // of numbers about 10
}

TEST_SUITE("doubt") {
    TEST_CASE("percentiles are those of Hyndman and Fan's definition 7, as Python's statistics gives them") {
        // Python 3.11, statistics.quantiles(sample, n=20, method="inclusive"), whose documentation names definition R7.
        const std::vector<double> sample{3.1, 0.4, 7.7, 5.2, 1.9, 9.3, 2.2, 4.8, 6.5, 8.0, 0.9};
        CHECK(std::abs(percentile(sample, 0.05) - 0.65) < kClosedForm);
        CHECK(std::abs(percentile(sample, 0.5) - 4.8) < kClosedForm);
        CHECK(std::abs(percentile(sample, 0.95) - 8.65) < kClosedForm);
        CHECK(std::abs(percentile({15, 20, 35, 40, 50}, 0.4) - 29) < kClosedForm);
    }

    TEST_CASE("a band is the fifth, the middle and the ninety-fifth percentile, in any order of the sample") {
        std::vector<double> sample;
        for (int i = 0; i <= 100; ++i) sample.push_back(i);
        std::reverse(sample.begin(), sample.end());
        const Band band = band_of(sample);
        CHECK(band.p5 == 5);
        CHECK(band.median == 50);
        CHECK(band.p95 == 95);
        CHECK(percentile(sample, 0) == 0);
        CHECK(percentile(sample, 1) == 100);
        CHECK(percentile({7}, 0.3) == 7);
        CHECK_THROWS_AS(percentile({}, 0.5), std::logic_error);
    }
}
