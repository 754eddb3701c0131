#include <algorithm>
#include <cmath>

#include "loopread/image/sampling.h"
#include "photo/corners_geometry.h"

namespace loopread {
namespace {

/// Where along the line from a to b, 0 to 1, it may be near a row.
struct Stretch {
    double first = 0, last = 1;
};

Stretch stretch_near(double row, PhotoPoint a, PhotoPoint way, double near) {
    if (way.y == 0) return {};
    const double one = (row - near - a.y) / way.y, other = (row + near - a.y) / way.y;
    return {std::clamp(std::min(one, other), 0.0, 1.0), std::clamp(std::max(one, other), 0.0, 1.0)};
}

/// Covers each pixel by how much of a band about the line from a to b lies on it.
template <class Paint>
void along_line(const Image& image, PhotoPoint a, PhotoPoint b, double half_width, Paint paint) {
    const PhotoPoint way = b - a;
    const double squared = std::max(dot(way, way), 1e-12);
    const auto low = [](double v) { return std::max(0, static_cast<int>(std::floor(v))); };
    const double spare = half_width + 1;
    for (int r = low(std::min(a.y, b.y) - spare); r < std::min<double>(image.rows(), std::max(a.y, b.y) + spare); ++r) {
        const Stretch near = stretch_near(r + 0.5, a, way, spare);
        const double one = a.x + near.first * way.x, other = a.x + near.last * way.x;
        for (int c = low(std::min(one, other) - spare);
             c < std::min<double>(image.columns(), std::max(one, other) + spare); ++c) {
            const PhotoPoint p{c + 0.5, r + 0.5};
            const double t = std::clamp(dot(p - a, way) / squared, 0.0, 1.0);
            const double cover = std::clamp(half_width + 0.5 - length(p - (a + way * t)), 0.0, 1.0);
            if (cover > 0) paint(r, c, cover);
        }
    }
}

constexpr LinearRgb kDarkInk{0.01, 0.01, 0.01}, kLightInk{1, 1, 1};

void draw_line(Image& image, PhotoPoint a, PhotoPoint b, double half_width, LinearRgb ink) {
    along_line(image, a, b, half_width,
               [&](int r, int c, double cover) { image(r, c) = mixed(image(r, c), ink, cover); });
}

}  // namespace

Picture8 corners_picture(const Image& upright, const Corners& corners, int longest_side) {
    require(!upright.empty() && longest_side > 0, "there is a picture to draw on");
    const double shrink =
        std::max(1.0, static_cast<double>(std::max(upright.rows(), upright.columns())) / longest_side);
    const int rows = std::max(1, static_cast<int>(std::lround(upright.rows() / shrink)));
    const int columns = std::max(1, static_cast<int>(std::lround(upright.columns() / shrink)));
    const PixelBox whole{0, 0, static_cast<double>(upright.columns()), static_cast<double>(upright.rows())};
    Image image = resampled(upright, whole, rows, columns);
    Corners drawn;
    for (std::size_t i = 0; i < 4; ++i)
        drawn[i] = {corners[i].x * columns / upright.columns(), corners[i].y * rows / upright.rows()};
    // Dark, light, dark: one of them shows on any ground.
    struct Band {
        double half_width, dot;
        LinearRgb ink;
    };
    for (const Band& band : {Band{2.5, 8, kDarkInk}, Band{1.3, 6.5, kLightInk}}) {
        for (int i = 0; i < 4; ++i) draw_line(image, corner(drawn, i), corner(drawn, i + 1), band.half_width, band.ink);
        for (const PhotoPoint& p : drawn) draw_line(image, p, p, band.dot, band.ink);
    }
    for (std::size_t i = 1; i < 4; ++i) draw_line(image, drawn[i], drawn[i], 5, kDarkInk);
    for (std::size_t i = 1; i < 4; ++i) draw_line(image, drawn[i], drawn[i], 3.5, kLightInk);
    draw_line(image, drawn[0], drawn[0], 5, {0.6, 0.02, 0.02});
    return encoded(image);
}

}  // namespace loopread
