#include "loopread/colour/difference.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "colour/oracle.h"

using namespace loopread;

namespace {

constexpr double kPrinted = 5.1e-5;  // half of the fourth decimal as printed, and a hair
constexpr double kFull = 1e-9;       // ten decimals, in which two independent libraries agree

Lab sample(const OracleRow& row, const std::string& number) {
    return {row.number("L" + number), row.number("a" + number), row.number("b" + number)};
}

}  // namespace

TEST_SUITE("colour") {
    TEST_CASE("CIEDE2000 gives the 34 pairs of [Sharma 2005], either way round") {
        const std::vector<OracleRow> rows = oracle_rows("ciede2000_sharma2005.csv");
        REQUIRE(rows.size() == 34);
        for (const OracleRow& row : rows) {
            CAPTURE(row.text("pair"));
            const Lab a = sample(row, "1"), b = sample(row, "2");
            CHECK(std::abs(delta_e_2000(a, b) - row.number("dE00_published")) <= kPrinted);
            CHECK(std::abs(delta_e_2000(b, a) - row.number("dE00_published")) <= kPrinted);
            CHECK(std::abs(delta_e_2000(a, b) - row.number("dE00_full")) <= kFull);
            CHECK(std::abs(delta_e_76(a, b) - row.number("dE76_full")) <= kFull);
        }
    }

    TEST_CASE("a colour does not differ from itself") {
        for (const Lab colour : {Lab{50, 20, -30}, Lab{0, 0, 0}, Lab{100, 0, 0}, Lab{30, -80, 60}}) {
            CHECK(delta_e_2000(colour, colour) == 0);
            CHECK(delta_e_76(colour, colour) == 0);
        }
    }

    TEST_CASE("CIEDE2000 is symmetric over the whole of CIELAB") {
        double worst = 0;
        for (int i = 0; i < 2000; ++i) {  // strides that share no factor, so that pairs fall everywhere
            const Lab a{i * 37 % 101 * 1.0, i * 53 % 257 - 128.0, i * 71 % 257 - 128.0};
            const Lab b{i * 59 % 101 * 1.0, i * 83 % 257 - 128.0, i * 97 % 257 - 128.0};
            worst = std::max(worst, std::abs(delta_e_2000(a, b) - delta_e_2000(b, a)));
        }
        CHECK(worst < 1e-9);  // rounding only
    }
}
