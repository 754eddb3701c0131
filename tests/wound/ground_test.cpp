#include "wound/ground.h"

#include <doctest/doctest.h>

#include <cmath>

#include "wound/smooth_noise.h"

using namespace loopread;
using namespace loopread::wound;

namespace {

/// The textures as they are meant, place by place, with nothing kept from one place to the next.
float plain_linen(float x_mm, float y_mm) {
    const float u = x_mm / 1.25F + 0.25F * smooth_noise_2d(21, x_mm / 3, y_mm / 22);
    const float v = y_mm / 1.25F + 0.25F * smooth_noise_2d(22, x_mm / 22, y_mm / 3);
    const auto i = static_cast<std::int32_t>(std::floor(u)), j = static_cast<std::int32_t>(std::floor(v));
    const float a = u - static_cast<float>(i) - 0.5F, b = v - static_cast<float>(j) - 0.5F;
    if (((i + j) & 1) == 0) return 1 - 0.28F * a * a - 0.16F * b * b + 0.035F * smooth_noise(23, y_mm / 14, i);
    return 1 - 0.28F * b * b - 0.16F * a * a + 0.035F * smooth_noise(24, x_mm / 14, j);
}
float plain_slate(float x_mm, float y_mm) {
    return 1 + 0.10F * smooth_noise_2d(31, x_mm / 34, y_mm / 26) + 0.07F * smooth_noise_2d(32, x_mm / 7, y_mm / 5) +
           0.06F * smooth_noise_2d(33, x_mm / 1.3F, y_mm / 1.1F);
}

/// Largest difference of the ground's ratio to its first pixel from the texture's, over some rows.
template <class Texture>
float largest_difference(GroundKind kind, const Texture& texture) {
    PaintOptions options;
    options.ground.kind = kind;
    options.view = {.pixels_per_mm = 4.7, .elevation = 0.7, .middle = {}};
    const GroundColour ground(options);
    std::array<std::vector<float>, 3> row;
    for (std::vector<float>& channel : row) channel.resize(1500);
    const auto mm = static_cast<float>(1 / options.view.pixels_per_mm);
    const auto up = static_cast<float>(1 / std::sin(options.view.elevation));
    ground.row(0, row);
    const float full = row[0][0] / texture(0, 0);
    float most = 0;
    for (const int r : {0, 1, 7, 200, 201, 1499}) {
        ground.row(r, row);
        for (std::size_t c = 0; c < row[0].size(); ++c)
            most = std::max(most, std::abs(row[0][c] / full -
                                           texture(static_cast<float>(c) * mm, static_cast<float>(r) * mm * up)));
    }
    return most;
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("linen and slate along a row are what they are at each place by itself") {
        constexpr float kRounding = 1e-6F;  // of the division by the full colour, in single precision
        CHECK(largest_difference(GroundKind::linen, plain_linen) <= kRounding);
        CHECK(largest_difference(GroundKind::slate, plain_slate) <= kRounding);
    }

    TEST_CASE("plain ground has one colour in every row") {
        PaintOptions options;
        options.ground.colour = {0.2, 0.3, 0.4};
        const GroundColour ground(options);
        std::array<std::vector<float>, 3> row;
        for (std::vector<float>& channel : row) channel.assign(5, 9.0F);
        ground.row(3, row);
        for (std::size_t c = 0; c < 5; ++c) {
            CHECK(row[0][c] == 0.2F);
            CHECK(row[1][c] == 0.3F);
            CHECK(row[2][c] == 0.4F);
        }
    }
}
