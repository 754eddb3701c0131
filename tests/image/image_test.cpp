#include "loopread/image/image.h"

#include <doctest/doctest.h>

using namespace loopread;

TEST_SUITE("image") {
    TEST_CASE("every stored code survives decoding and encoding") {
        Picture8 picture(16, 16);
        for (int code = 0; code < 256; ++code) {
            const auto value = static_cast<std::uint8_t>(code);
            picture(code / 16, code % 16) = {value, static_cast<std::uint8_t>(255 - code), 7};
        }
        CHECK(encoded(decoded(picture)) == picture);
    }

    TEST_CASE("a decoded picture holds the light of each of its colours") {
        Picture8 picture(1, 2);
        picture(0, 0) = {200, 100, 50};
        picture(0, 1) = {0, 255, 1};
        const Image image = decoded(picture);
        CHECK(image(0, 0) == linear_from_srgb8({200, 100, 50}));
        CHECK(image(0, 1) == linear_from_srgb8({0, 255, 1}));
    }

    TEST_CASE("light brighter than white is stored as white") {
        CHECK(encoded(Image(1, 1, LinearRgb{2, -1, 1}))(0, 0) == Srgb8{255, 0, 255});
    }
}
