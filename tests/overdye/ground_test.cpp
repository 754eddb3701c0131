#include "loopread/overdye/ground.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "loopread/overdye/strengths.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;

const BlankRaster kRaster{.rows = 300, .columns = 80, .mm_per_column = 0.65, .mm_per_row = 0.65};
const LinearRgb kUndyed = linear_from_srgb8({0xf3, 0xed, 0xe0});
const LinearRgb kTeal = linear_from_srgb8({0x6c, 0xbd, 0xc0}), kBlue = linear_from_srgb8({0x27, 0x4f, 0x9f});
const LinearRgb kRed = linear_from_srgb8({0xb8, 0x27, 0x2d});

/// A bath with two stencils on it: a band of red, dots of blue at a third.
Paint dyed() {
    Paint paint;
    paint.raster = kRaster;
    paint.ground = faded_ground(std::array{kTeal, kBlue}, GroundAs::along, kRaster);
    Plane band(kRaster.rows, kRaster.columns), dots(kRaster.rows, kRaster.columns);
    for (int row = 0; row < kRaster.rows; ++row)
        for (int column = 0; column < kRaster.columns; ++column) {
            band(row, column) = row >= 100 && row < 160 ? 1 : 0;
            dots(row, column) = row % 20 < 8 && column % 20 < 8 ? 1.0 / 3 : 0;
        }
    paint.layers.push_back({"band", band, dye_of(kRed, kUndyed), 1});
    paint.layers.push_back({"dots", dots, dye_of(kBlue, kUndyed), 1});
    return paint;
}

/// All dye of one channel on the blank: in the bath and where the stencils put it.
double all_dye(const Paint& paint, double KOverS::*channel) {
    double sum = 0;
    for (const LinearRgb& c : paint.ground)  // unclamped: a deep bath holds what it took up
        sum += KOverS{k_over_s_of(c.r), k_over_s_of(c.g), k_over_s_of(c.b)}.*channel;
    for (const DyeLayer& layer : paint.layers)
        sum += std::accumulate(layer.amount.begin(), layer.amount.end(), 0.0) * (layer.dye.*channel);
    return sum;
}

}  // namespace

TEST_SUITE("overdye") {
    TEST_CASE("what washes out of the stencils is what the bath gains, channel by channel") {
        const Paint before = dyed();
        for (const double strike : {0.0, 0.3, 0.75}) {
            CAPTURE(strike);
            const Paint after = stencilled_first(dyed(), strike);
            for (double KOverS::*channel : {&KOverS::r, &KOverS::g, &KOverS::b})
                CHECK(all_dye(after, channel) == doctest::Approx(all_dye(before, channel)).epsilon(kRounding));
            const KOverS gained = k_over_s(after.ground(5, 5)) - k_over_s(before.ground(5, 5));
            CHECK(gained.g == doctest::Approx(washed_dye(before, strike).g).epsilon(kRounding));
            CHECK(gained.g > 0);
        }
    }

    TEST_CASE("the dye that washes out is strength x (1 - strike) x share of the area") {
        const Paint paint = dyed();
        const double by_hand = 60.0 / 300 * dye_of(kRed, kUndyed).g * 0.4 +
                               1.0 / 3 * (8.0 / 20) * (8.0 / 20) * dye_of(kBlue, kUndyed).g * 0.4;
        CHECK(washed_dye(paint, 0.6).g == doctest::Approx(by_hand).epsilon(kRounding));
    }

    TEST_CASE("with all of the dye fixed the order makes no difference to the dye, nor to yarn dyed through") {
        const Paint base_first = dyed(), stencil_first = stencilled_first(dyed(), 1);
        CHECK(stencil_first.ground == base_first.ground);
        for (std::size_t i = 0; i < base_first.layers.size(); ++i)
            CHECK(stencil_first.layers[i].amount == base_first.layers[i].amount);
        for (const double y : {10.0, 80.0, 84.0, 150.0}) {
            const SeenShares hidden{.painted = 0, .other = 0};
            CHECK(yarn_colour(base_first, 20, y, hidden) == yarn_colour(stencil_first, 20, y, hidden));
        }
    }

    TEST_CASE("nothing fixed leaves no motif") {
        const Paint paint = stencilled_first(dyed(), 0);
        for (const DyeLayer& layer : paint.layers)
            CHECK(*std::max_element(layer.amount.begin(), layer.amount.end()) == 0);
    }

    TEST_CASE("a fade runs from the ravel edge, or from the left, straight in light") {
        const std::array hues{kTeal, kBlue, kRed};
        const Image along = faded_ground(hues, GroundAs::along, kRaster);
        CHECK(along(0, 0) == along(0, 79));
        CHECK(along(149, 0).g == doctest::Approx(kBlue.g).epsilon(0.02));
        CHECK(along(75, 3).r == doctest::Approx((kTeal.r + kBlue.r) / 2).epsilon(0.02));
        CHECK(along(299, 3).r == doctest::Approx(kRed.r).epsilon(0.02));
        const Image across = faded_ground(hues, GroundAs::across, kRaster);
        CHECK(across(0, 20) == across(299, 20));
        CHECK(across(0, 79).r == doctest::Approx(kRed.r).epsilon(0.02));
    }

    TEST_CASE("a broken bath lies between its hues in K/S, half of it on each side, and goes by its seed") {
        const std::array hues{kTeal, kRed};
        const Image ground = broken_ground(hues, kRaster, 3);
        CHECK(ground == broken_ground(hues, kRaster, 3));
        CHECK_FALSE(ground == broken_ground(hues, kRaster, 4));
        const KOverS from = k_over_s(kTeal), to = k_over_s(kRed);
        double sum = 0, neighbours = 0;
        const auto share = [&](LinearRgb c) { return (k_over_s(c).g - from.g) / (to.g - from.g); };
        for (int row = 0; row < ground.rows(); ++row)
            for (int column = 0; column < ground.columns(); ++column) {
                const LinearRgb c = ground(row, column);
                sum += share(c);
                // the same share in every channel
                REQUIRE(std::abs((k_over_s(c).b - from.b) / (to.b - from.b) - share(c)) < 1e-6);
                if (column > 0) neighbours = std::max(neighbours, std::abs(share(c) - share(ground(row, column - 1))));
            }
        CHECK(sum / static_cast<double>(ground.size()) == doctest::Approx(0.5).epsilon(0.001));
        CHECK(neighbours < 0.15);  // smooth: 0.65 mm make no jump
    }

    TEST_CASE("the ground under a stencil is told by how much of it is dyed there") {
        Plane amount(kRaster.rows, kRaster.columns);
        const Image ground = faded_ground(std::array{kTeal, kBlue}, GroundAs::along, kRaster);
        amount(0, 0) = 3;
        amount(299, 0) = 1;
        const LinearRgb under = ground_under(ground, amount);
        CHECK(under.g == doctest::Approx((3 * ground(0, 0).g + ground(299, 0).g) / 4).epsilon(kRounding));
        CHECK(ground_under(Image(1, 1, kRed), amount) == kRed);
    }
}
