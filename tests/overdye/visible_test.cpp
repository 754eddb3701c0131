#include "loopread/overdye/visible.h"

#include <doctest/doctest.h>

#include <cmath>

#include "colour/oracle.h"

using namespace loopread;

namespace {

constexpr double kOneDecimal = 0.05;  // the figures are told with one
constexpr double kRatio = 1e-7;       // the table has eight decimals
constexpr double kLab = 1e-4;         // its author's matrix has other last digits

LinearRgb colour(const std::string& hex) {
    const auto parsed = parsed_hex(hex);
    REQUIRE(parsed.has_value());
    return linear_from_srgb8(*parsed);
}

}  // namespace

TEST_SUITE("overdye") {
    TEST_CASE("at the size of a stitch half of the viewers notice 6.8 in L*, 8.9 in a* and 12.0 in b*") {
        // 3 mm at 40 cm; coefficients of the published model as two implementations have them [Stone 2014]
        CHECK(kStitchDegrees == doctest::Approx(std::atan(3.0 / 400) * 180 / std::acos(-1.0)).epsilon(0.01));
        const NoticeableDifference noticed = noticeable_difference(kStitchDegrees);
        CHECK(std::abs(noticed.l - 6.8) < kOneDecimal);
        CHECK(std::abs(noticed.a - 8.9) < kOneDecimal);
        CHECK(std::abs(noticed.b - 12.0) < kOneDecimal);
        CHECK(noticeable_difference(6).l < noticed.l);
        CHECK(kLostUnder >= noticed.l);
    }

    TEST_CASE("ratio, lightness difference and CIEDE2000 agree with the table of pairs") {
        const std::vector<OracleRow> rows = oracle_rows("contrast_pairs.csv");
        REQUIRE(rows.size() == 20);
        for (const OracleRow& row : rows) {
            CAPTURE(row.text("hex1") + " " + row.text("hex2"));
            const LinearRgb one = colour("#" + row.text("hex1")), other = colour("#" + row.text("hex2"));
            CHECK(std::abs(luminance_ratio(one, other) - row.number("ratio")) < kRatio);
            const Apart found = apart(lab_from_linear(one), lab_from_linear(other), kLostUnder);
            CHECK(std::abs(found.delta_l - row.number("dLstar")) < kLab);
            CHECK(std::abs(found.delta_e00 - row.number("dE00")) < kLab);
            CHECK((found.held == Held::lost) == (row.number("dLstar") < kLostUnder));
        }
    }

    TEST_CASE("grey 767676 on white has the well-known ratio of 4.54, and 777777 misses 4.5") {
        const LinearRgb white{1, 1, 1};  // success criterion 1.4.3 of [WCAG 2.2]
        CHECK(std::abs(luminance_ratio(colour("#767676"), white) - 4.54) < 0.005);
        CHECK(luminance_ratio(colour("#777777"), white) < 4.5);
    }

    TEST_CASE("hue tells where lightness does not, and the line lies where it is asked for") {
        const Lab grey{50, 0, 0};
        CHECK(apart(grey, {50, 20, 0}, 7).hue_tells);
        CHECK(apart(grey, {50, 20, 0}, 7).held == Held::lost);
        CHECK_FALSE(apart(grey, {50, 8, -8}, 7).hue_tells);
        CHECK(apart(grey, {57, 0, 0}, 7).held == Held::holds);
        CHECK(apart(grey, {43.1, 0, 0}, 7).held == Held::lost);
        CHECK(apart(grey, {43.1, 0, 0}, 6).held == Held::holds);
    }
}
