#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/blank/paint.h"
#include "loopread/colour/difference.h"

using namespace loopread;

namespace {

constexpr double kWithin = 3.0;  // CIEDE2000, mean: a difference that is just seen side by side

LinearRgb hex(const char* text) {
    return linear_from_srgb8(*parsed_hex(text));
}

/// A bath that fades along the blank through evenly spaced colours, mixed as light.
Image fading(const std::vector<LinearRgb>& stops, int rows, int columns) {
    Image picture(rows, columns);
    for (int r = 0; r < rows; ++r) {
        const double place = (r + 0.5) / rows * static_cast<double>(stops.size() - 1);
        const auto below = std::min(static_cast<std::size_t>(place), stops.size() - 2);
        for (int c = 0; c < columns; ++c)
            picture(r, c) = mixed(stops[below], stops[below + 1], place - static_cast<double>(below));
    }
    return picture;
}

/// Round motifs thrown at random until they cover `share` of the picture.
void add_motifs(Image& picture, LinearRgb colour, double share, std::uint64_t seed) {
    Random random(seed);
    const double radius = 0.09 * picture.columns();
    std::size_t covered = 0;
    while (static_cast<double>(covered) < share * static_cast<double>(picture.size())) {
        const double x = random.uniform() * picture.columns(), y = random.uniform() * picture.rows();
        for (int r = 0; r < picture.rows(); ++r)
            for (int c = 0; c < picture.columns(); ++c)
                if (std::hypot(c + 0.5 - x, r + 0.5 - y) < radius && !(picture(r, c) == colour)) {
                    picture(r, c) = colour;
                    ++covered;
                }
    }
}

double mean_difference(const Image& a, const Image& b) {
    double sum = 0;
    for (int r = 0; r < a.rows(); ++r)
        for (int c = 0; c < a.columns(); ++c) sum += delta_e_2000(lab_from_linear(a(r, c)), lab_from_linear(b(r, c)));
    return sum / static_cast<double>(a.size());
}

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("a fading bath is found again under dark motifs on three tenths of it") {
        const std::vector<std::vector<LinearRgb>> kBaths = {{hex("#7db6c8"), hex("#f0e6d0")},
                                                            {hex("#2f7d9b"), hex("#86b9c6"), hex("#dde9e4")},
                                                            {hex("#e8c25a"), hex("#c9d8a0")}};
        for (const auto& stops : kBaths)
            for (const char* motif : {"#39467c", "#1c1c24", "#7a2038"})
                for (const std::uint64_t seed : {1U, 2U, 3U}) {
                    const Image bath = fading(stops, 320, 90);
                    Image picture = bath;
                    add_motifs(picture, hex(motif), 0.3, seed);
                    CAPTURE(motif);
                    CAPTURE(seed);
                    REQUIRE(mean_difference(picture, bath) > 2 * kWithin);  // the motifs do stand out
                    CHECK(mean_difference(estimated_ground(picture), bath) < kWithin);
                }
    }

    TEST_CASE("a plain picture is its own ground") {
        constexpr double kUnseen = 0.01;  // CIEDE2000; the fit is held down by a millionth
        for (const char* colour : {"#f3ede0", "#2f7d9b", "#1c1c24", "#ffffff"}) {
            const Image plain(60, 20, hex(colour));
            CAPTURE(colour);
            CHECK(mean_difference(estimated_ground(plain), plain) < kUnseen);
        }
        const Image spot(1, 1, hex("#2f7d9b"));
        CHECK(mean_difference(estimated_ground(spot), spot) < kUnseen);
    }

    TEST_CASE("a bath that fades evenly along and across is its own ground") {
        Image bath(200, 60);
        for (int r = 0; r < 200; ++r)
            for (int c = 0; c < 60; ++c)
                bath(r, c) = linear_from_oklab({0.6 + 0.001 * r, 0.02 - 0.0005 * c, -0.05 + 0.0002 * r});
        constexpr double kHardlySeen = 0.3;
        CHECK(mean_difference(estimated_ground(bath), bath) < kHardlySeen);
    }
}
