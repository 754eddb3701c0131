#pragma once

// A phone's photo of a blank made by a path of its own: dyed loops, a bow, a plane seen in perspective, one window's
// light, a cast, noise, Display P3, JPEG. Every step has a known inverse or a published matrix, and nothing of the code
// that reads photos is used.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <string>

#include <opencv2/core.hpp>

#include "loopread/base/parallel.h"
#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "loopread/loop/shape.h"
#include "loopread/raster/cloth.h"
#include "photo/profile_picture_files.h"

namespace loopread::p3_photos {

struct Spot {
    double x = 0, y = 0;
};

using Matrix3 = std::array<std::array<double, 3>, 3>;

inline Matrix3 inverse(const Matrix3& m) {
    Matrix3 result{};
    double determinant = 0;
    for (std::size_t i = 0; i < 3; ++i)
        determinant += m[0][i] * (m[1][(i + 1) % 3] * m[2][(i + 2) % 3] - m[1][(i + 2) % 3] * m[2][(i + 1) % 3]);
    for (std::size_t r = 0; r < 3; ++r)
        for (std::size_t c = 0; c < 3; ++c)
            result[c][r] = (m[(r + 1) % 3][(c + 1) % 3] * m[(r + 2) % 3][(c + 2) % 3] -
                            m[(r + 1) % 3][(c + 2) % 3] * m[(r + 2) % 3][(c + 1) % 3]) /
                           determinant;
    return result;
}

inline LinearRgb times(const Matrix3& m, LinearRgb v) {
    return {m[0][0] * v.r + m[0][1] * v.g + m[0][2] * v.b, m[1][0] * v.r + m[1][1] * v.g + m[1][2] * v.b,
            m[2][0] * v.r + m[2][1] * v.g + m[2][2] * v.b};
}

inline Spot through(const Matrix3& m, Spot p) {
    const LinearRgb v = times(m, {p.x, p.y, 1});
    return {v.r / v.b, v.g / v.b};
}

/// How cloth lies on a table, mm: in the middle of the blank's length its wales swing to the right and the width is
/// drawn in on either side, in the middle of its width its courses sag. The corners stay where they are.
struct Bend {
    double swing = 0, waist = 0, sag = 0;
};

/// Where each place of the blank, in mm from its middle, is seen in the photo.
class Sight {
public:
    Sight(const Matrix3& pixels_from_mm, Spot size_mm, const Bend& bend)
        : pixels_(pixels_from_mm), mm_(inverse(pixels_from_mm)), size_(size_mm), bend_(bend) {}

    Spot size() const { return size_; }
    Spot seen(Spot on_blank) const { return table_seen(bent(on_blank)); }
    Spot on_blank(Spot pixel) const { return flat(on_table(pixel)); }
    Spot table_seen(Spot on_table) const { return through(pixels_, on_table); }
    Spot on_table(Spot pixel) const { return through(mm_, pixel); }
    Spot flat(Spot p) const {
        const double arc = arc_of(p.y, size_.y), x = (p.x - bend_.swing * arc) / drawn_in(arc);
        return {x, p.y - bend_.sag * arc_of(x, size_.x)};
    }

private:
    Spot bent(Spot p) const {
        const double y = p.y + bend_.sag * arc_of(p.x, size_.x), arc = arc_of(y, size_.y);
        return {p.x * drawn_in(arc) + bend_.swing * arc, y};
    }
    double drawn_in(double arc) const { return 1 - 2 * bend_.waist * arc / size_.x; }
    static double arc_of(double place, double size) { return 1 - 4 * place * place / (size * size); }
    Matrix3 pixels_, mm_;
    Spot size_;
    Bend bend_;
};

struct Box {
    double left = 0, top = 0, right = 0, bottom = 0;
    bool holds(Spot p) const { return p.x >= left && p.x < right && p.y >= top && p.y < bottom; }
};

struct P3Scene {
    int width = 0, height = 0;
    Box card_mm;  ///< on the table
    LinearRgb card{0.68, 0.68, 0.68}, table{0.030, 0.034, 0.040};
    Spot light{0.16, -0.12};       ///< log light from the middle of the picture to its right and lower edge
    LinearRgb cast{1.12, 1, 0.8};  ///< in the camera's own primaries
    double noise = 0.01;           ///< standard deviation, of the light of white
    int quality = 92;
    std::uint64_t seed = 1;
};

/// Light at a pixel, before it is made 1 over the blank.
inline double slope_of_light(const P3Scene& scene, Spot pixel) {
    return scene.light.x * (2 * pixel.x / scene.width - 1) + scene.light.y * (2 * pixel.y / scene.height - 1);
}

/// The mean of log light over the blank: exposure, which no photo tells, is chosen so that it is 0.
inline double mean_slope(const P3Scene& scene, const Sight& sight) {
    constexpr int kSteps = 40;
    double sum = 0;
    for (int i = 0; i < kSteps; ++i)
        for (int j = 0; j < kSteps; ++j)
            sum += slope_of_light(scene, sight.seen({((i + 0.5) / kSteps - 0.5) * sight.size().x,
                                                     ((j + 0.5) / kSteps - 0.5) * sight.size().y}));
    return sum / (kSteps * kSteps);
}

/// From linear sRGB to linear Display P3: lin_sRGB_to_XYZ and XYZ_to_lin_P3 of the sample code in CSS Color 4,
/// one after the other.
inline LinearRgb p3_from_srgb(LinearRgb light) {
    constexpr Matrix3 kXyzFromSrgb{{{506752.0 / 1228815, 87881.0 / 245763, 12673.0 / 70218},
                                    {87098.0 / 409605, 175762.0 / 245763, 12673.0 / 175545},
                                    {7918.0 / 409605, 87881.0 / 737289, 1001167.0 / 1053270}}};
    constexpr Matrix3 kP3FromXyz{{{446124.0 / 178915, -333277.0 / 357830, -72051.0 / 178915},
                                  {-14852.0 / 17905, 63121.0 / 35810, 423.0 / 17905},
                                  {11844.0 / 330415, -50337.0 / 660830, 316169.0 / 330415}}};
    return times(kP3FromXyz, times(kXyzFromSrgb, light));
}

/// The curve of sRGB and Display P3: CSS Color 4, section 10. In 8 bits.
inline unsigned char code_of(double light) {
    const double v = std::clamp(light, 0.0, 1.0);
    const double encoded = v > 0.0031308 ? 1.055 * std::pow(v, 1 / 2.4) - 0.055 : 12.92 * v;
    return static_cast<unsigned char>(std::lround(255 * encoded));
}

/// @param cloth  the blank's knit side, stretched over it
inline LinearRgb dyed_or_table(const P3Scene& scene, const Sight& sight, const Image& cloth, Spot pixel) {
    const Spot p = sight.on_table(pixel);
    const Spot f = sight.flat(p);
    const double u = f.x / sight.size().x + 0.5, v = f.y / sight.size().y + 0.5;
    if (u >= 0 && u < 1 && v >= 0 && v < 1) return at(cloth, u * cloth.columns(), v * cloth.rows());
    if (scene.card_mm.holds(p)) return scene.card;
    const double grain = hashed_unit(scene.seed, static_cast<std::int64_t>(std::floor(p.x / 2)),
                                     static_cast<std::int64_t>(std::floor(p.y / 6)));
    return scene.table * (0.97 + 0.06 * grain);
}

/// The bytes of a JPEG with the profile of Display P3 in it.
inline std::string p3_photo(const P3Scene& scene, const Sight& sight, const Image& cloth) {
    const double exposure = mean_slope(scene, sight);
    cv::Mat codes(scene.height, scene.width, CV_8UC3);
    in_parallel(static_cast<std::size_t>(scene.height), thread_count(0), [&] {
        return [&](std::size_t row) {
            const int y = static_cast<int>(row);
            Random random(scene.seed, row);
            // of three even numbers the variance is a quarter, and they look normal enough
            const auto noise = [&] {
                return scene.noise * 2 * (random.uniform() + random.uniform() + random.uniform() - 1.5);
            };
            for (int x = 0; x < scene.width; ++x) {
                LinearRgb light;
                for (const double down : {0.25, 0.75})
                    for (const double right : {0.25, 0.75})
                        light += dyed_or_table(scene, sight, cloth, {x + right, y + down}) * 0.25;
                light = p3_from_srgb(light * std::exp(slope_of_light(scene, {x + 0.5, y + 0.5}) - exposure));
                unsigned char* code = codes.ptr(y) + 3 * x;
                code[2] = code_of(light.r * scene.cast.r + noise());
                code[1] = code_of(light.g * scene.cast.g + noise());
                code[0] = code_of(light.b * scene.cast.b + noise());
            }
        };
    });
    using namespace picture_files;
    return with_segments(jpeg(codes, {.quality = scene.quality, .progressive = false, .exif_data = {}}),
                         profile_parts(display_p3(), 1));
}

}  // namespace loopread::p3_photos
