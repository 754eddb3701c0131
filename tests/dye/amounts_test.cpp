#include "loopread/dye/amounts.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace loopread;

namespace {

constexpr double kRounding = 1e-12;  // relative: the published figures are exact products

bool near(double value, double published) {
    return std::abs(value - published) <= kRounding * std::max(1.0, std::abs(published));
}

}  // namespace

TEST_SUITE("dye") {
    TEST_CASE("published amounts of stock come out") {
        // a craft reference on depth of shade: weight x depth / strength, its four examples for a pound of 454 g
        struct Row {
            double fibre_g, depth_pct, stock_pct, published_ml;
        };
        constexpr Row kTable[] = {{454, 1, 1, 454}, {454, 2, 1, 908}, {454, 0.1, 1, 45.4}, {454, 0.1, 0.1, 454}};
        for (const Row& row : kTable) {
            CAPTURE(row.published_ml);
            CHECK(near(stock_for({row.fibre_g}, {row.depth_pct}, {row.stock_pct}).value, row.published_ml));
        }
    }

    TEST_CASE("published amounts of dry dye come out") {
        // the first two from a supplier's note on dye quantities, the third from a university's textile handout
        struct Row {
            double fibre_g, depth_pct, published_g;
        };
        constexpr Row kTable[] = {{125, 2, 2.5}, {300, 3, 9}, {5, 3, 0.15}};
        for (const Row& row : kTable) {
            CAPTURE(row.published_g);
            CHECK(near(dye_for({row.fibre_g}, {row.depth_pct}).value, row.published_g));
        }
    }

    TEST_CASE("a published mixture of three dyes on sock yarn comes out") {
        // dye questions and answers, 26 April 2011: 200 g of wool and nylon sock yarn, 0.85 + 0.1 + 0.05 %
        CHECK(near(dye_for(200.0_g, {0.85}).value, 1.7));
        CHECK(near(dye_for(200.0_g, {0.1}).value, 0.2));
        CHECK(near(dye_for(200.0_g, {0.05}).value, 0.1));
    }

    TEST_CASE("what was measured off gives back the depth it was measured for") {
        for (const double depth : {0.01, 0.4, 2.0, 7.9})
            for (const double stock : {0.1, 1.0, 4.0}) {
                const Millilitres ml = stock_for(113.4_g, {depth}, {stock});
                CHECK(near(depth_of(dye_in(ml, {stock}), 113.4_g).value, depth));
            }
    }

    TEST_CASE("a stock without dye is a broken contract") {
        CHECK_THROWS(stock_for(100.0_g, {1.0}, {0.0}));
        CHECK_THROWS(depth_of(1.0_g, {0.0}));
    }
}
