#include "loopread/doubt/ranges.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "loopread/fabric/fabric.h"

using namespace loopread;

namespace {

constexpr double kClosedForm = 1e-12;

/// The triangular distribution function as textbooks have it (Evans, Statistical Distributions, from memory).
double part_below(const Range& range, double x) {
    const double whole = range.high - range.low;
    if (x <= range.used) return (x - range.low) * (x - range.low) / (whole * (range.used - range.low));
    return 1 - (range.high - x) * (range.high - x) / (whole * (range.high - range.used));
}

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("a drawn value has the asked part of the triangle under it") {
        for (const Range& range : {Range{0.4, 0.7, 1.0}, Range{0.1, 0.4, 0.8}, Range{0, 0, 1}, Range{0, 1, 1}})
            for (const double p : {1e-6, 0.05, 0.3, 0.5, 0.77, 0.999}) {
                CAPTURE(range.used);
                CAPTURE(p);
                const double x = range.at(p);
                CHECK(x > range.low);
                CHECK(x < range.high);
                if (range.low < range.used && range.used < range.high)
                    CHECK(std::abs(part_below(range, x) - p) < kClosedForm);
            }
        CHECK(held(0.3).at(0.01) == 0.3);
        CHECK(held(0.3).at(0.99) == 0.3);
        CHECK_THROWS_AS((Range{0.5, 0.4, 1}).at(0.5), std::logic_error);
    }

    TEST_CASE("the value in use lies in every range, wherever it is") {
        const Range outside = range_about(0.05, kLeastPenetration, kMostPenetration);
        CHECK(outside.low == 0.05);
        CHECK(outside.high == kMostPenetration);
        for (const double stitches : {20.0, 27.0, 32.0, 36.0, 50.0}) {
            const Range yarn = yarn_without_gauge(stitches);
            CHECK(yarn.low <= 1);
            CHECK(yarn.high >= 1);
        }
    }

    TEST_CASE("without a gauge the yarn in a stitch spans what sock yarn takes from 27 to 36 stitches in 10 cm") {
        // Relaxed fabric of 27 x 35.4 stitches in 10 cm; 36 x 47.25 fresh off the needles: l = sqrt(k / (s r)), with
        // k = 23.1 (GATE Textile 2015, question 54) and 19.0 (Munden's dry-relaxed state, from memory).
        const Range yarn = yarn_without_gauge(32);
        const double in_use = yarn_per_stitch({32, 42}).value;
        const double rows_per_stitch = 42.0 / 32;
        const auto yarn_mm = [&](double k, double stitches) {
            return 100 * std::sqrt(k / (stitches * stitches * rows_per_stitch));
        };
        CHECK(std::abs(yarn.high * in_use - yarn_mm(23.1, 27)) < kClosedForm * in_use);
        CHECK(std::abs(yarn.low * in_use - yarn_mm(19.0, 36)) < kClosedForm * in_use);
    }

    TEST_CASE("a known gauge leaves less to guess than none") {
        const Range known = yarn_at_known_gauge(), unknown = yarn_without_gauge(32);
        CHECK(known.low > unknown.low);
        CHECK(known.high < unknown.high);
        CHECK(known.drawn());
    }

    TEST_CASE("a stated range holds the value in use even where that lies outside it, and the yarn has none") {
        CHECK(stated_range(Unmeasured::wrap, 0.7).low == kLeastWrap);
        CHECK(stated_range(Unmeasured::wrap, 0.7).high == kMostWrap);
        CHECK(stated_range(Unmeasured::wrap, 0.2).low == 0.2);
        CHECK(stated_range(Unmeasured::penetration, 0.4).high == kMostPenetration);
        CHECK(stated_range(Unmeasured::penetration, 0.95).high == 0.95);
        CHECK(stated_range(Unmeasured::turn, 80).low == 40);
        CHECK(stated_range(Unmeasured::turn, 80).high == 160);
        CHECK(stated_range(Unmeasured::wander, 30).low == doctest::Approx(10));
        CHECK_THROWS_AS(stated_range(Unmeasured::yarn, 1), std::logic_error);
    }
}
