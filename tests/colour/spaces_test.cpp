#include "loopread/colour/spaces.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>

#include "colour/oracle.h"

using namespace loopread;

namespace {

constexpr double kTable = 1e-6;     // what the table of 40 colours is good for, white point and matrix digits included
constexpr double kLabTable = 1e-4;  // the same in CIELAB, whose numbers are a hundred times larger
constexpr double kPrinted = 1e-3;   // three decimals as published, from XYZ of three decimals
constexpr double kThereAndBack = 1e-12;  // a dozen rounded operations on numbers up to 1

Srgb8 row_colour(const OracleRow& row) {
    const auto code = [&row](const char* column) { return static_cast<std::uint8_t>(row.number(column)); };
    return {code("r8"), code("g8"), code("b8")};
}

double apart(double a, double b) {
    return std::abs(a - b);
}

double apart(LinearRgb a, LinearRgb b) {
    return std::max({apart(a.r, b.r), apart(a.g, b.g), apart(a.b, b.b)});
}

/// A spread of light over the gamut, ends included.
template <class Use>
void for_each_light(Use use) {
    for (int r = 0; r <= 8; ++r)
        for (int g = 0; g <= 8; ++g)
            for (int b = 0; b <= 8; ++b) use(LinearRgb{r / 8.0, g / 8.0, b / 8.0});
}

template <class Work>
double seconds_of(Work work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace

TEST_SUITE("colour") {
    TEST_CASE("40 colours agree with two independent libraries in linear light, XYZ, CIELAB and OKLab") {
        const std::vector<OracleRow> rows = oracle_rows("srgb_xyz_lab_oklab.csv");
        REQUIRE(rows.size() == 40);
        for (const OracleRow& row : rows) {
            const LinearRgb linear = linear_from_srgb8(row_colour(row));
            const Xyz xyz = xyz_from_linear(linear);
            const Lab lab = lab_from_linear(linear);
            const Oklab ok = oklab_from_linear(linear);
            CAPTURE(hex_text(row_colour(row)));
            CHECK(apart(linear, {row.number("lin_r"), row.number("lin_g"), row.number("lin_b")}) < kTable);
            CHECK(apart(xyz.x, row.number("X")) < kTable);
            CHECK(apart(xyz.y, row.number("Y")) < kTable);
            CHECK(apart(xyz.z, row.number("Z")) < kTable);
            CHECK(apart(lab.l, row.number("L")) < kLabTable);
            CHECK(apart(lab.a, row.number("a")) < kLabTable);
            CHECK(apart(lab.b, row.number("b")) < kLabTable);
            CHECK(apart(ok.l, row.number("ok_L")) < kTable);
            CHECK(apart(ok.a, row.number("ok_a")) < kTable);
            CHECK(apart(ok.b, row.number("ok_b")) < kTable);
        }
    }

    TEST_CASE("OKLab gives the published pairs, the one with a negative cone response too") {
        const std::vector<OracleRow> rows = oracle_rows("oklab_ottosson2020.csv");
        REQUIRE(rows.size() == 4);
        for (const OracleRow& row : rows) {
            const Oklab ok = oklab_from_linear(linear_from_xyz({row.number("X"), row.number("Y"), row.number("Z")}));
            CAPTURE(row.text("X") + " " + row.text("Y") + " " + row.text("Z"));
            CHECK(apart(ok.l, row.number("L")) < kPrinted);
            CHECK(apart(ok.a, row.number("a")) < kPrinted);
            CHECK(apart(ok.b, row.number("b")) < kPrinted);
        }
    }

    TEST_CASE("every space leads back to the light it came from") {
        double worst_xyz = 0, worst_lab = 0, worst_ok = 0;
        for_each_light([&](LinearRgb light) {
            worst_xyz = std::max(worst_xyz, apart(linear_from_xyz(xyz_from_linear(light)), light));
            worst_lab = std::max(worst_lab, apart(linear_from_lab(lab_from_linear(light)), light));
            worst_ok = std::max(worst_ok, apart(linear_from_oklab(oklab_from_linear(light)), light));
        });
        CHECK(worst_xyz < kThereAndBack);
        CHECK(worst_lab < kThereAndBack);
        CHECK(worst_ok < kThereAndBack);
    }

    TEST_CASE("light out of gamut survives CIELAB and OKLab") {
        for (const LinearRgb light : {LinearRgb{-0.05, 0.4, 0.2}, LinearRgb{1.3, 0.9, -0.01}, LinearRgb{0, 0, 1.5}}) {
            CHECK(apart(linear_from_lab(lab_from_linear(light)), light) < kThereAndBack);
            CHECK(apart(linear_from_oklab(oklab_from_linear(light)), light) < kThereAndBack);
        }
    }

    TEST_CASE("the curve of sRGB goes there and back, below nought as a straight line") {
        for (double encoded = -0.5; encoded <= 1.0; encoded += 1.0 / 512)
            CHECK(apart(encoded_from_linear(linear_from_encoded(encoded)), encoded) < 1e-7);  // the two branches of
        // [IEC 61966-2-1:1999] miss each other by 3e-8 at the join
        CHECK(linear_from_encoded(-0.1292) == doctest::Approx(-0.01).epsilon(1e-12));
        CHECK(linear_from_encoded(1) == doctest::Approx(1).epsilon(1e-15));
    }

    TEST_CASE("8 bits survive light, and every light gets the code that rounding gives it") {
        for (int code = 0; code < 256; ++code) {
            const auto c = static_cast<std::uint8_t>(code);
            CHECK(srgb8_from_linear(linear_from_srgb8({c, c, c})) == Srgb8{c, c, c});
        }
        int wrong = 0;
        for (int i = 0; i <= 200'000; ++i) {
            const double linear = i / 200'000.0;
            const double exact = encoded_from_linear(linear) * 255;
            const double from_half = std::abs(exact - std::floor(exact) - 0.5);
            if (from_half < 1e-5) continue;  // the join of the two branches again
            if (srgb8_from_linear({linear, linear, linear}).g != std::lround(exact)) ++wrong;
        }
        CHECK(wrong == 0);
    }

    TEST_CASE("light beyond the gamut is clipped channel by channel") {
        constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
        constexpr double kInfinity = std::numeric_limits<double>::infinity();
        CHECK(srgb8_from_linear({-0.2, 1.7, 0.0}) == Srgb8{0, 255, 0});
        CHECK(srgb8_from_linear({-kInfinity, kInfinity, kNan}) == Srgb8{0, 255, 0});
    }

    TEST_CASE("decoding 8 bits is a look-up, not a power per channel") {
        constexpr unsigned kPixels = 400'000;
        constexpr double kFaster = 1.5;  // about 10 in an optimised build; sanitizers slow the look-up more
        double looked_up = 0, raised = 0;
        const double by_table = seconds_of([&looked_up] {
            for (unsigned i = 0; i < kPixels; ++i) {
                const auto code = static_cast<std::uint8_t>(i);
                const LinearRgb light = linear_from_srgb8({code, code, code});
                looked_up += light.r + light.g + light.b;
            }
        });
        const double by_power = seconds_of([&raised] {
            for (unsigned i = 0; i < kPixels; ++i)
                for (int channel = 0; channel < 3; ++channel) raised += linear_from_encoded((i & 255) / 255.0);
        });
        CHECK(by_table * kFaster < by_power);
        CHECK(looked_up == doctest::Approx(raised).epsilon(1e-9));
    }

    TEST_CASE("hex goes both ways and nothing else passes") {
        CHECK(hex_text({0x0f, 0xa0, 0xff}) == "#0fa0ff");
        CHECK(parsed_hex("#0fA0Ff") == Srgb8{0x0f, 0xa0, 0xff});
        CHECK(parsed_hex("#1aF") == Srgb8{0x11, 0xaa, 0xff});
        for (const char* bad : {"", "#", "#12", "#1234", "#12345", "#1234567", "123456", "#12345g", "#-12345",
                                " #123456", "#+1+2+3", "0x1234"}) {
            CAPTURE(bad);
            CHECK(!parsed_hex(bad));
        }
    }
}
