#pragma once

// Phone photos of a knitted blank on a table, made by tracing each picture point back to the table: the place of every
// corner is known, and nothing of the code that looks for them is used.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include <opencv2/core.hpp>

#include "loopread/base/parallel.h"
#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "loopread/loop/shape.h"
#include "loopread/photo/corners.h"
#include "loopread/raster/cloth.h"

namespace loopread::table_photos {

enum class Dye { undyed, plain, bands, dots, fade, lengthwise, panel };
inline constexpr std::array<Dye, 6> kDyes{Dye::plain, Dye::bands, Dye::dots, Dye::fade, Dye::lengthwise, Dye::undyed};

inline LinearRgb light_of(int r, int g, int b) {
    return linear_from_srgb8(
        {static_cast<std::uint8_t>(r), static_cast<std::uint8_t>(g), static_cast<std::uint8_t>(b)});
}
inline const LinearRgb kCream = light_of(0xf3, 0xed, 0xe0);

/// The colour at x, y in 0..1 across and along the blank.
inline LinearRgb dyed(Dye dye, LinearRgb ground, const std::array<LinearRgb, 3>& dyes, double x, double y) {
    const double wave = std::sin(2 * std::numbers::pi * (2.5 * y + 0.15 * std::sin(6 * x)));
    const double dots = std::hypot(std::fmod(x * 4, 1.0) - 0.5, std::fmod(y * 14, 1.0) - 0.5);
    switch (dye) {
        case Dye::undyed:
            return ground;
        case Dye::plain:
            return mixed(dyes[0], dyes[1], 0.1 + 0.1 * wave);
        case Dye::bands:
            return dyes[static_cast<std::size_t>(std::min(6.0, std::floor(y * 7))) % 3];
        case Dye::dots:
            return dots < 0.33 ? dyes[0] : dyes[1];
        case Dye::fade:
            return mixed(dyes[0], dyes[2], y);
        case Dye::lengthwise:
            return dyes[static_cast<std::size_t>(std::min(4.0, std::floor(x * 5))) % 3];
        case Dye::panel:
            return x > 0.2 && x < 0.8 && y > 0.1 && y < 0.9 ? dyes[0] : ground;
    }
    return ground;
}

/// Knitted cloth of `across` x `along` loops, `pixels` a stitch.
inline Image knitted_picture(Dye dye, LinearRgb ground, const std::array<LinearRgb, 3>& dyes, int across, int along,
                             double pixels) {
    Cloth cloth(along, across, 1);
    for (int r = 0; r < along; ++r)
        for (int c = 0; c < across; ++c) {
            cloth.set_worked(r, c);
            LinearRgb* loop = cloth.loop(r, c, 0);
            for (int p = 0; p < Cloth::kPlaces; ++p)
                loop[p] = dyed(dye, ground, dyes, (c + (p + 0.5) / Cloth::kPlaces) / across, (r + 0.5) / along);
        }
    ClothLook look;
    look.pixels_per_stitch = pixels;
    look.sights = 8;
    return drawn_cloth(cloth, LoopShape(LoopProportions{}), look);
}

struct Waste {
    double width = 0;      ///< part of the blank's; 0: there is none
    double length_mm = 0;  ///< beyond the blank's lower end
    LinearRgb colour = light_of(200, 40, 120);
};

struct PlacedBlank {
    Image cloth;  ///< the painted side
    double width_mm = 240, length_mm = 860;
    double x_mm = 0, y_mm = 0;  ///< of its middle on the table
    double bow_mm = 0;          ///< the long sides swing to one side
    double waist_mm = 0;        ///< each long side bends inwards
    double end_bow_mm = 0;      ///< the ends bulge outwards
    double curl_mm = 5;         ///< along every edge, showing the duller back
    double ragged_mm = 0.8;
    Waste waste;
};

struct Scene {
    int width = 800, height = 600;
    std::uint64_t seed = 1;
    LinearRgb table = light_of(225, 222, 215);
    double grain = 0.02;  ///< of the table's light
    double streaks = 1;   ///< how much longer the grain is than wide
    double turn_deg = 0;  ///< of the blank in the picture, clockwise
    double tilt_deg = 0;  ///< of the table from the picture's plane
    double tilt_way_deg = 0;
    double narrowing = 0;                                    ///< the far end's width is 1 less this of the near one's
    double fill = 0.85;                                      ///< of the picture's height or width that the blank takes
    double shift_x = 0, shift_y = 0;                         ///< parts of the picture
    std::array<double, 3> light_x{}, light_y{}, light_r2{};  ///< of log light, r g b, over -1..1
    LinearRgb lamp{1, 1, 1};
    double shadow = 0.35, shadow_mm = 9;
    double noise = 0.012;
    int threads = 0;
};

struct TablePhoto {
    Image picture;
    Corners corners;  ///< of the first blank, clockwise from its top left
};

/// Smooth noise of mean 0 and about unit range.
inline double value_noise(std::uint64_t seed, double x, double y) {
    const double fx = std::floor(x), fy = std::floor(y);
    const auto ix = static_cast<std::int64_t>(fx), iy = static_cast<std::int64_t>(fy);
    const double u = x - fx, v = y - fy;
    const double s = u * u * (3 - 2 * u), t = v * v * (3 - 2 * v);
    const double top = hashed_unit(seed, ix, iy) * (1 - s) + hashed_unit(seed, ix + 1, iy) * s;
    const double bottom = hashed_unit(seed, ix, iy + 1) * (1 - s) + hashed_unit(seed, ix + 1, iy + 1) * s;
    return 2 * (top * (1 - t) + bottom * t) - 1;
}

inline double smooth_step(double x) {
    const double t = std::clamp(x, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

/// From millimetres on the table to pixels: a pinhole camera over a tilted table.
inline cv::Matx33d camera(const Scene& scene, double width_mm, double length_mm) {
    const double deg = std::numbers::pi / 180;
    const double c = std::cos(scene.turn_deg * deg), s = std::sin(scene.turn_deg * deg);
    const double wx = std::cos(scene.tilt_way_deg * deg), wy = std::sin(scene.tilt_way_deg * deg);
    const double squash = std::cos(scene.tilt_deg * deg);
    const cv::Matx22d turn(c, -s, s, c);
    const cv::Matx22d squeeze(1 - (1 - squash) * wx * wx, -(1 - squash) * wx * wy, -(1 - squash) * wx * wy,
                              1 - (1 - squash) * wy * wy);
    const cv::Matx22d m = squeeze * turn;
    // Depth grows along the tilt; scaled so that the blank's far end is as much narrower as asked.
    const double gx = wx * c + wy * s, gy = -wx * s + wy * c;
    const double reach = std::abs(gx) * width_mm / 2 + std::abs(gy) * length_mm / 2;
    const double per_mm = scene.narrowing / (2 - scene.narrowing) / std::max(reach, 1e-9);
    cv::Matx33d h(m(0, 0), m(0, 1), 0, m(1, 0), m(1, 1), 0, gx * per_mm, gy * per_mm, 1);
    double left = 1e9, right = -1e9, top = 1e9, bottom = -1e9;
    for (const double x : {-width_mm / 2, width_mm / 2})
        for (const double y : {-length_mm / 2, length_mm / 2}) {
            const cv::Vec3d p = h * cv::Vec3d(x, y, 1);
            left = std::min(left, p[0] / p[2]);
            right = std::max(right, p[0] / p[2]);
            top = std::min(top, p[1] / p[2]);
            bottom = std::max(bottom, p[1] / p[2]);
        }
    const double scale = scene.fill * std::min(scene.width / (right - left), scene.height / (bottom - top));
    const cv::Matx33d to_frame(scale, 0, scene.width * (0.5 + scene.shift_x) - scale * (left + right) / 2, 0, scale,
                               scene.height * (0.5 + scene.shift_y) - scale * (top + bottom) / 2, 0, 0, 1);
    return to_frame * h;
}

inline PhotoPoint seen_at(const cv::Matx33d& h, double x, double y) {
    const cv::Vec3d p = h * cv::Vec3d(x, y, 1);
    return {p[0] / p[2], p[1] / p[2]};
}

/// Distance in from the edge of a rectangle, negative outside (of its corners the larger of the two).
inline double inside_of(double x, double y, double half_width, double half_length) {
    return std::min(half_width - std::abs(x), half_length - std::abs(y));
}

/// A blank's own coordinates: its bent edges straightened. The corners stay where they are.
inline std::array<double, 2> straightened(const PlacedBlank& b, double x, double y) {
    const double u = x / (b.width_mm / 2), v = y / (b.length_mm / 2);
    const double along = std::cos(std::numbers::pi / 2 * std::clamp(v, -1.0, 1.0));
    const double across = std::cos(std::numbers::pi / 2 * std::clamp(u, -1.0, 1.0));
    return {(x - b.bow_mm * along) / (1 - b.waist_mm * along / (b.width_mm / 2)),
            y / (1 + b.end_bow_mm * across / (b.length_mm / 2))};
}

inline LinearRgb cloth_at(const PlacedBlank& b, double x, double y, double inside) {
    const LinearRgb face =
        at(b.cloth, (x / b.width_mm + 0.5) * b.cloth.columns(), (y / b.length_mm + 0.5) * b.cloth.rows());
    if (inside >= b.curl_mm) return face;
    const double part = std::clamp(inside / b.curl_mm, 0.0, 1.0);
    const LinearRgb back = mixed(face, kCream * 0.8, 0.3);
    return mixed(back, face, part) * (0.72 + 0.28 * part + 0.18 * std::sin(std::numbers::pi * part));
}

/// What lies on the table at a place in millimetres.
inline LinearRgb table_at(const Scene& scene, const std::vector<PlacedBlank>& blanks, double x, double y) {
    const double fine = value_noise(scene.seed + 11, x / 4, y / 4 / scene.streaks);
    const double coarse = value_noise(scene.seed + 12, x / 17, y / 17 / scene.streaks);
    LinearRgb colour = scene.table * (1 + scene.grain * (0.6 * fine + 0.6 * coarse));
    const auto is_far = [&](const PlacedBlank& b) {
        constexpr double kReach = 90;  // of shadows and waste yarn, mm
        return inside_of(x - b.x_mm, y - b.y_mm, b.width_mm / 2, b.length_mm / 2) < -kReach;
    };
    for (const PlacedBlank& b : blanks) {
        if (is_far(b)) continue;
        const auto shadow = straightened(b, x - b.x_mm - 4, y - b.y_mm - 5);
        const double dark = inside_of(shadow[0], shadow[1], b.width_mm / 2, b.length_mm / 2) / scene.shadow_mm;
        colour = colour * (1 - scene.shadow * smooth_step(dark + 0.8));
    }
    for (const PlacedBlank& b : blanks) {
        if (is_far(b)) continue;
        if (b.waste.width > 0) {
            const double wx = x - b.x_mm, wy = y - b.y_mm - b.length_mm / 2;
            const double in = inside_of(wx, wy, b.waste.width * b.width_mm / 2, b.waste.length_mm);
            const double ridge = 1 + 0.12 * std::sin(wy * 2 * std::numbers::pi / 4);
            colour = mixed(colour, b.waste.colour * ridge, smooth_step(in / 1.6 + 0.5));
        }
        const auto p = straightened(b, x - b.x_mm, y - b.y_mm);
        const double ragged = b.ragged_mm * value_noise(scene.seed + 13, x / 9, y / 9);
        const double in = inside_of(p[0], p[1], b.width_mm / 2, b.length_mm / 2) + ragged;
        if (in > -2) colour = mixed(colour, cloth_at(b, p[0], p[1], in), smooth_step(in / 2.4 + 0.5));
    }
    return colour;
}

inline LinearRgb lamp_at(const Scene& scene, double x, double y) {
    std::array<double, 3> light{};
    for (std::size_t k = 0; k < 3; ++k)
        light[k] = std::exp(scene.light_x[k] * x + scene.light_y[k] * y + scene.light_r2[k] * (x * x + y * y));
    return {scene.lamp.r * light[0], scene.lamp.g * light[1], scene.lamp.b * light[2]};
}

/// Loose ends wandering away from the lower end of a blank, a pixel or two thick.
inline void draw_threads(Image& picture, const Scene& scene, const PlacedBlank& blank, const cv::Matx33d& h) {
    Random random(scene.seed, 77);
    for (int thread = 0; thread < scene.threads; ++thread) {
        double x = blank.x_mm + (random.uniform() - 0.5) * blank.width_mm;
        double y = blank.y_mm + blank.length_mm / 2 - 4;
        double angle = std::numbers::pi / 2 + 0.8 * random.normal();
        for (int step = 0; step < 260; ++step) {
            angle += 0.12 * random.normal();
            x += 0.5 * std::cos(angle);
            y += 0.5 * std::sin(angle);
            const PhotoPoint p = seen_at(h, x, y);
            for (int r = static_cast<int>(p.y) - 2; r <= static_cast<int>(p.y) + 2; ++r)
                for (int c = static_cast<int>(p.x) - 2; c <= static_cast<int>(p.x) + 2; ++c) {
                    if (r < 0 || c < 0 || r >= picture.rows() || c >= picture.columns()) continue;
                    const double cover = std::clamp(1.2 - std::hypot(c + 0.5 - p.x, r + 0.5 - p.y), 0.0, 1.0);
                    picture(r, c) = mixed(picture(r, c), light_of(180, 60, 90), 0.6 * cover);
                }
        }
    }
}

/// As a phone would keep it: 2 x 2 points a pixel, noise, 8 bits.
inline TablePhoto table_photo(const Scene& scene, const std::vector<PlacedBlank>& blanks) {
    const double width_mm = blanks.empty() ? 240 : blanks[0].width_mm;
    const double length_mm = blanks.empty() ? 860 : blanks[0].length_mm;
    const cv::Matx33d h = camera(scene, width_mm, length_mm);
    const cv::Matx33d back = h.inv();
    TablePhoto photo{Image(scene.height, scene.width), {}};
    if (!blanks.empty()) {
        const double x = blanks[0].width_mm / 2, y = blanks[0].length_mm / 2;
        photo.corners = {
            seen_at(h, blanks[0].x_mm - x, blanks[0].y_mm - y), seen_at(h, blanks[0].x_mm + x, blanks[0].y_mm - y),
            seen_at(h, blanks[0].x_mm + x, blanks[0].y_mm + y), seen_at(h, blanks[0].x_mm - x, blanks[0].y_mm + y)};
    }
    in_parallel(static_cast<std::size_t>(scene.height), thread_count(0), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            for (int c = 0; c < scene.width; ++c) {
                LinearRgb sum;
                for (const double dy : {0.25, 0.75})
                    for (const double dx : {0.25, 0.75}) {
                        const PhotoPoint p = seen_at(back, c + dx, r + dy);
                        sum += table_at(scene, blanks, p.x, p.y) * 0.25;
                    }
                const LinearRgb lamp =
                    lamp_at(scene, 2 * (c + 0.5) / scene.width - 1, 2 * (r + 0.5) / scene.height - 1);
                photo.picture(r, c) = {sum.r * lamp.r, sum.g * lamp.g, sum.b * lamp.b};
            }
        };
    });
    if (!blanks.empty()) draw_threads(photo.picture, scene, blanks[0], h);
    Random random(scene.seed, 5);
    for (LinearRgb& p : photo.picture) {
        const auto noisy = [&](double v) {
            return v + scene.noise * random.normal() * std::sqrt(std::max(0.0, v) + 0.02);
        };
        p = {noisy(p.r), noisy(p.g), noisy(p.b)};
    }
    photo.picture = decoded(encoded(photo.picture));
    return photo;
}

}  // namespace loopread::table_photos
