#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <vector>

#include "loopread/base/parallel.h"
#include "loopread/colour/palette.h"
#include "loopread/compare/edges.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr double kLeastSlope = 0.006;  // OKLab a millimetre: a contrast of about CIEDE2000 5 over 8 mm

/// A small picture in which edges are looked for.
struct CoarsePicture {
    Image light;
    double step_x_mm = 1, step_y_mm = 1;
};

/// Steps of a third of a stitch, or of what plain pictures are drawn with; blurred by as much again.
CoarsePicture coarse(const DyedPicture& picture) {
    const double unit = picture.knitted() ? picture.stitch_mm() / 3 : std::max(0.5, 2 * picture.light_pixel_mm);
    const int columns = std::max(3, static_cast<int>(std::lround(picture.width_mm() / unit)));
    const int rows = std::max(3, static_cast<int>(std::lround(picture.height_mm() / unit)));
    const PixelBox whole{0, 0, static_cast<double>(picture.light.columns()), static_cast<double>(picture.light.rows())};
    const double blur = picture.knitted() ? 1.6 : 1.2;
    return {blurred(resampled(picture.light, whole, rows, columns), blur, blur), picture.width_mm() / columns,
            picture.height_mm() / rows};
}

/// How fast colour changes and in which direction it does most.
struct Slope {
    double size = 0, x = 1, y = 0;
};

Grid<Oklab> oklab_of(const Image& light) {
    Grid<Oklab> out(light.rows(), light.columns());
    std::transform(light.begin(), light.end(), out.begin(), oklab_from_linear);
    return out;
}

/// The larger eigenvalue of the colours' structure tensor and its vector (Di Zenzo, from memory).
Slope slope_at(const Grid<Oklab>& colours, int r, int c, const CoarsePicture& picture) {
    const Oklab &right = colours(r, c + 1), &left = colours(r, c - 1), &under = colours(r + 1, c),
                &over = colours(r - 1, c);
    double xx = 0, xy = 0, yy = 0;
    const auto add = [&](double dx, double dy) {
        dx /= 2 * picture.step_x_mm;
        dy /= 2 * picture.step_y_mm;
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    };
    add(right.l - left.l, under.l - over.l);
    add(right.a - left.a, under.a - over.a);
    add(right.b - left.b, under.b - over.b);
    const double root = std::hypot((xx - yy) / 2, xy), largest = (xx + yy) / 2 + root;
    const double angle = 0.5 * std::atan2(2 * xy, xx - yy);
    return {std::sqrt(largest), std::cos(angle), std::sin(angle)};
}

struct Ridge {
    double size = 0;
    EdgePlace place;
};

/// Where colour changes faster than just before and after it.
std::vector<Ridge> ridges(const CoarsePicture& picture) {
    const Grid<Oklab> colours = oklab_of(picture.light);
    Grid<Slope> slopes(colours.rows(), colours.columns());
    for (int r = 1; r + 1 < slopes.rows(); ++r)
        for (int c = 1; c + 1 < slopes.columns(); ++c) slopes(r, c) = slope_at(colours, r, c, picture);
    std::vector<Ridge> out;
    for (int r = 2; r + 2 < slopes.rows(); ++r)
        for (int c = 2; c + 2 < slopes.columns(); ++c) {
            const Slope& slope = slopes(r, c);
            if (slope.size < kLeastSlope) continue;
            const int dx = static_cast<int>(std::lround(slope.x)), dy = static_cast<int>(std::lround(slope.y));
            if (slope.size < slopes(r + dy, c + dx).size || slope.size <= slopes(r - dy, c - dx).size) continue;
            out.push_back(
                {slope.size, {(c + 0.5) * picture.step_x_mm, (r + 0.5) * picture.step_y_mm, slope.x, slope.y}});
        }
    std::stable_sort(out.begin(), out.end(), [](const Ridge& a, const Ridge& b) { return a.size > b.size; });
    return out;
}

double distance(Oklab a, Oklab b) {
    return std::hypot(a.l - b.l, std::hypot(a.a - b.a, a.b - b.b));
}

/// The normal from what is nearer to the ground's colour.
EdgePlace from_ground(EdgePlace place, const CoarsePicture& picture, LinearRgb ground, double reach) {
    const Oklab wanted = oklab_from_linear(ground);
    const auto side = [&](double sign) {
        const double x = (place.x_mm + sign * reach * place.normal_x) / picture.step_x_mm;
        const double y = (place.y_mm + sign * reach * place.normal_y) / picture.step_y_mm;
        return distance(oklab_from_linear(at(picture.light, x, y)), wanted);
    };
    if (side(-1) > side(1)) {
        place.normal_x = -place.normal_x;
        place.normal_y = -place.normal_y;
    }
    return place;
}

/// The clearest ridges, each so far from the others that pieces do not overlap.
std::vector<EdgePlace> places_apart(const std::vector<Ridge>& ridges, double apart, std::size_t most) {
    std::vector<EdgePlace> out;
    for (const Ridge& ridge : ridges) {
        const bool free = std::none_of(out.begin(), out.end(), [&](const EdgePlace& p) {
            return std::hypot(p.x_mm - ridge.place.x_mm, p.y_mm - ridge.place.y_mm) < apart;
        });
        if (free) out.push_back(ridge.place);
        if (out.size() >= most) break;
    }
    return out;
}

}  // namespace

std::vector<EdgePiece> edge_pieces(const DyedPicture& picture, LinearRgb ground, const EdgeOptions& options) {
    const CoarsePicture small = coarse(picture);
    const double apart = std::max(options.apart_mm, pieces_apart_mm(picture));
    const double beside = std::max({2.5, 6 * picture.light_pixel_mm, 1.2 * picture.stitch_mm()});
    const std::vector<EdgePlace> places = places_apart(ridges(small), apart, options.most_pieces);
    std::vector<std::optional<EdgePiece>> measured(places.size());
    in_parallel(places.size(), thread_count(0), [&] {
        return [&](std::size_t i) {
            measured[i] = measured_piece(picture, from_ground(places[i], small, ground, beside), options);
        };
    });
    std::vector<EdgePiece> out;
    for (auto& piece : measured)
        if (piece) out.push_back(std::move(*piece));
    return out;
}

double pieces_apart_mm(const DyedPicture& picture) {
    return picture.knitted() ? 3 * picture.stitch_mm() : std::max(4.0, 12 * picture.light_pixel_mm);
}

LinearRgb main_colour(const DyedPicture& picture) {
    constexpr int kSide = 160;   // cells of the longer side
    constexpr int kColours = 3;  // few, or a ground with a halo falls apart and the motif is taken for it
    const double longer = std::max(picture.width_mm(), picture.height_mm());
    const int columns = std::max(1, static_cast<int>(kSide * picture.width_mm() / longer));
    const int rows = std::max(1, static_cast<int>(kSide * picture.height_mm() / longer));
    const PixelBox whole{0, 0, static_cast<double>(picture.light.columns()), static_cast<double>(picture.light.rows())};
    std::vector<WeightedColour> colours;
    for (const LinearRgb& cell : resampled(picture.light, whole, rows, columns)) colours.push_back({cell, 1.0});
    return palette_of(colours, kColours, 1).front().colour;
}

}  // namespace loopread
