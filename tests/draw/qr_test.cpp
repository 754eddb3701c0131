#include "loopread/draw/qr.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <string>

using namespace loopread;

TEST_SUITE("draw") {
    // ISO/IEC 18004: a side of 17 + 4 x version dots, here version 1 to 13 (200 bytes at level M), four quiet dots.
    TEST_CASE("a code has a side of the standard and a quiet zone of four dots") {
        for (const std::size_t bytes : {1U, 14U, 50U, 120U, 200U}) {
            const Picture8 code = qr_picture(std::string(bytes, 'x'), 3);
            CHECK(code.rows() == code.columns());
            const int dots = code.rows() / 3 - 8;
            CHECK(code.rows() % 3 == 0);
            CHECK((dots - 17) % 4 == 0);
            CHECK(dots <= 69);
            for (int y = 0; y < code.rows(); ++y)
                for (int x = 0; x < 12; ++x) {
                    CHECK(code(y, x) == Srgb8{255, 255, 255});
                    CHECK(code(x, y) == Srgb8{255, 255, 255});
                }
            CHECK(code(12, 12) == Srgb8{0, 0, 0});  // a corner of the finder pattern
        }
    }

    TEST_CASE("no bytes and too many are refused") {
        CHECK_THROWS_AS(qr_picture("", 4), std::logic_error);
        CHECK_THROWS_AS(qr_picture(std::string(kLongestQrAddress + 1, 'x'), 4), std::logic_error);
    }
}
