#include "loopread/colour/kubelka_munk.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "colour/oracle.h"

using namespace loopread;

namespace {

constexpr double kTable = 1e-11;  // relative: the tables have twelve digits

}  // namespace

TEST_SUITE("colour") {
    TEST_CASE("a reflectance of 20 % is a K/S of 1.6") {
        CHECK(k_over_s_of(0.2) == doctest::Approx(1.6).epsilon(1e-15));  // published: see tests/data/kubelka_munk.csv
        CHECK(k_over_s({0.2, 0.2, 0.2}).g == doctest::Approx(1.6).epsilon(1e-15));
        CHECK(reflectance_of(1.6) == doctest::Approx(0.2).epsilon(1e-15));
    }

    TEST_CASE("K/S and reflectance agree with the table both ways") {
        const std::vector<OracleRow> rows = oracle_rows("kubelka_munk.csv");
        REQUIRE(rows.size() == 19);
        for (const OracleRow& row : rows) {
            CAPTURE(row.text("R"));
            const double r = row.number("R"), ks = row.number("KS");
            CHECK(std::abs(k_over_s_of(r) - ks) <= kTable * std::max(ks, 1e-3));
            // the inverse is steep where little is absorbed: an error e of K/S is an error sqrt(2 e) of R at R = 1
            CHECK(std::abs(reflectance_of(ks) - r) <= 1e-10);
        }
    }

    TEST_CASE("dyes add on one fibre as the table says") {
        const std::vector<OracleRow> rows = oracle_rows("kubelka_munk_mix.csv");
        REQUIRE(rows.size() == 16);
        const KOverS substrate = k_over_s({0.80, 0.80, 0.80});
        const KOverS dye_1 = k_over_s({0.30, 0.30, 0.30}) - substrate;
        const KOverS dye_2 = k_over_s({0.45, 0.45, 0.45}) - substrate;
        for (const OracleRow& row : rows) {
            CAPTURE(row.text("c1") + " " + row.text("c2"));
            const KOverS mix = substrate + dye_1 * row.number("c1") + dye_2 * row.number("c2");
            CHECK(std::abs(mix.g - row.number("KS_mix")) <= kTable * 3);
            CHECK(std::abs(linear_from_k_over_s(mix).g - row.number("R_mix")) <= kTable * 3);
        }
    }

    TEST_CASE("black and white are held to what a dye can give, and bare reflectances are not") {
        CHECK(k_over_s({0, 0.01, 0.02}).r == k_over_s_of(0.02));
        CHECK(k_over_s({0, 0.01, 0.02}).g == k_over_s_of(0.02));
        CHECK(k_over_s({0.99, 1, 1.2}).b == k_over_s_of(0.98));
        CHECK(k_over_s_of(1) == 0);
        CHECK(k_over_s_of(0.01) > k_over_s_of(0.02));
    }

    TEST_CASE("K/S below nought is no absorption, and a very deep shade keeps its digits") {
        CHECK(linear_from_k_over_s({-0.5, 0, -1e-9}) == LinearRgb{1, 1, 1});
        // for large K/S, R is 1 / (2 K/S) (1 - 1 / (K/S) + ...); the textbook form is 0 here
        CHECK(reflectance_of(1e12) == doctest::Approx(0.5e-12).epsilon(1e-11));
    }

    TEST_CASE("each channel stands alone") {
        const LinearRgb light{0.1, 0.5, 0.9};
        const LinearRgb back = linear_from_k_over_s(k_over_s(light));
        CHECK(std::abs(back.r - 0.1) < 1e-14);
        CHECK(std::abs(back.g - 0.5) < 1e-14);
        CHECK(std::abs(back.b - 0.9) < 1e-14);
    }
}
