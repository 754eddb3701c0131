#include "loopread/contrast/patches.h"

#include <doctest/doctest.h>

#include <set>

#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"

using namespace loopread;

namespace {

const LinearRgb kRed = linear_from_srgb8({0xb8, 0x27, 0x2d}), kTeal = linear_from_srgb8({0x6c, 0xbd, 0xc0});
const LinearRgb kBlack = linear_from_srgb8({0x1a, 0x1a, 0x1c});

/// A square of one colour on another.
Image square_on(LinearRgb ground, LinearRgb motif) {
    Image picture(160, 120, ground);
    for (int row = 40; row < 110; ++row)
        for (int column = 30; column < 90; ++column) picture(row, column) = motif;
    return picture;
}

}  // namespace

TEST_SUITE("contrast") {
    TEST_CASE("two colours are two patches, told to the last bit of a file") {
        const Patches patches = patches_of(square_on(kTeal, kRed), 8, 1);
        REQUIRE(patches.colours.size() == 2);
        CHECK(hex_text(srgb8_from_linear(patches.colours[0].colour)) == "#6cbdc0");
        CHECK(hex_text(srgb8_from_linear(patches.colours[1].colour)) == "#b8272d");
        CHECK(patches.colours[1].share == doctest::Approx(70.0 * 60 / (160 * 120)));
        CHECK(patches.owner(0, 0) == 0);
        CHECK(patches.owner(40, 30) == 1);
    }

    TEST_CASE("a softened edge is no colour of its own") {
        for (const double sigma : {0.6, 1.2, 2.0}) {
            CAPTURE(sigma);
            const Patches patches = patches_of(blurred(square_on(kTeal, kBlack), sigma, sigma), 8, 1);
            REQUIRE(patches.colours.size() == 2);
            CHECK(delta_e_2000(lab_from_linear(patches.colours[0].colour), lab_from_linear(kTeal)) < 0.5);
            CHECK(delta_e_2000(lab_from_linear(patches.colours[1].colour), lab_from_linear(kBlack)) < 3);
        }
    }

    TEST_CASE("an outline of another hue stays, were it three pixels wide") {
        Image picture = square_on(kTeal, kRed);
        for (int row = 37; row < 113; ++row)
            for (int column = 27; column < 93; ++column) {
                const bool inside = row >= 40 && row < 110 && column >= 30 && column < 90;
                if (!inside) picture(row, column) = kBlack;
            }
        CHECK(patches_of(picture, 8, 1).colours.size() == 3);
    }

    TEST_CASE("specks and hairlines are taken in by what they lie on") {
        Image picture = square_on(kTeal, kRed);
        for (int row = 0; row < 160; ++row) picture(row, 110) = kBlack;
        picture(10, 10) = picture(10, 11) = picture(11, 10) = kBlack;
        const Patches patches = patches_of(picture, 8, 1);
        CHECK(patches.colours.size() == 2);
        CHECK(patches.owner(10, 10) == patches.owner(0, 0));
    }

    TEST_CASE("one colour all over is one patch") {
        const Patches patches = patches_of(Image(60, 40, kRed), 8, 1);
        REQUIRE(patches.colours.size() == 1);
        CHECK(patches.colours[0].share == 1);
    }
}
