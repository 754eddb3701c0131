#include "loopread/overdye/strengths.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "colour/oracle.h"

using namespace loopread;

namespace {

LinearRgb grey(double reflectance) {
    return {reflectance, reflectance, reflectance};
}

double lightness(LinearRgb colour) {
    return lab_from_linear(colour).l;
}

constexpr double kWholeNumbers = 0.5;  // the table is told in whole L*
constexpr double kTwelveDigits = 3e-11;
constexpr double kEven = 0.01;  // L*

}  // namespace

TEST_SUITE("overdye") {
    TEST_CASE("a black thinned by halves on undyed yarn gives the ladder worked out beforehand") {
        // K/S linear in the dye, undyed R = 0.65: figures from arithmetic outside this program, told in whole L*
        struct Ladder {
            double full;
            std::array<double, 5> lightness;
        };
        const std::array<Ladder, 3> ladders{
            {{0.04, {24, 33, 43, 53, 62}}, {0.05, {27, 36, 46, 56, 65}}, {0.10, {38, 48, 58, 66, 73}}}};
        for (const Ladder& ladder : ladders) {
            CAPTURE(ladder.full);
            const KOverS dye = dye_of(grey(ladder.full), grey(0.65));
            for (std::size_t i = 0; i < ladder.lightness.size(); ++i) {
                const double l = lightness(overdyed(grey(0.65), dye, std::pow(0.5, i)));
                CHECK(std::abs(l - ladder.lightness[i]) <= kWholeNumbers);
                if (i == 0) continue;
                // so each halving lifts L* by about 7 to 10
                const double step = l - lightness(overdyed(grey(0.65), dye, std::pow(0.5, i - 1)));
                CHECK(step > 7 - kWholeNumbers);
                CHECK(step < 10 + kWholeNumbers);
            }
        }
    }

    TEST_CASE("two dyes over a ground add as the table of mixtures says") {
        const std::vector<OracleRow> rows = oracle_rows("kubelka_munk_mix.csv");
        REQUIRE(rows.size() == 16);
        const LinearRgb substrate = grey(0.80);
        const KOverS first = dye_of(grey(0.30), substrate), second = dye_of(grey(0.45), substrate);
        for (const OracleRow& row : rows) {
            CAPTURE(row.text("c1") + " " + row.text("c2"));
            const LinearRgb bath = overdyed(substrate, first, row.number("c1"));
            CHECK(std::abs(overdyed(bath, second, row.number("c2")).g - row.number("R_mix")) < kTwelveDigits);
        }
    }

    TEST_CASE("no dye leaves the ground untouched, white too") {
        CHECK(overdyed({1, 1, 1}, dye_of(grey(0.1), grey(0.8)), 0) == LinearRgb{1, 1, 1});
    }

    TEST_CASE("even steps are even in L* down to the ground, whatever ground and dye") {
        const LinearRgb undyed = linear_from_srgb8({0xf3, 0xed, 0xe0});
        const std::array grounds{undyed, linear_from_srgb8({0x6c, 0xa3, 0xd1}), linear_from_srgb8({0xef, 0xc0, 0x27})};
        const std::array dyes{linear_from_srgb8({0x1a, 0x1a, 0x1c}), linear_from_srgb8({0xb8, 0x27, 0x2d}),
                              linear_from_srgb8({0x27, 0x4f, 0x9f})};
        for (const LinearRgb ground : grounds)
            for (const LinearRgb full : dyes)
                for (const int steps : {1, 2, 3, 7}) {
                    const KOverS dye = dye_of(full, undyed);
                    const auto strengths = even_strengths(ground, dye, steps, 0.8);
                    REQUIRE(strengths.has_value());
                    REQUIRE(strengths->size() == static_cast<std::size_t>(steps));
                    CHECK(strengths->front() == 0.8);
                    const double step = (lightness(ground) - lightness(overdyed(ground, dye, 0.8))) / steps;
                    double below = lightness(overdyed(ground, dye, 0.8)) - step;
                    for (const double strength : *strengths) {
                        const double l = lightness(overdyed(ground, dye, strength));
                        CHECK(std::abs(l - below - step) < kEven);
                        below = l;
                    }
                }
    }

    TEST_CASE("a dye that does not darken its ground has no steps") {
        CHECK_FALSE(even_strengths(grey(0.1), dye_of(grey(0.8), grey(0.8)), 3, 1).has_value());
        CHECK_FALSE(even_strengths(grey(0.02), dye_of(grey(0.5), grey(0.8)), 3, 1).has_value());
    }
}
