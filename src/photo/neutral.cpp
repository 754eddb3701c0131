#include "loopread/photo/neutral.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <opencv2/core.hpp>

#include "image/shared_rows.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"

namespace loopread {
namespace {

// ---- cast

constexpr double kClipped = 0.99;  // of white: 8-bit codes from 254 on
constexpr double kClippedPart = 0.01;
constexpr double kDark = 0.02;      // of white: codes under about 40, where noise and flare are a fifth of the value
constexpr double kFewPixels = 100;  // chosen: camera noise of 5 % a pixel becomes 0.5 %
constexpr double kMixed = 2.0;      // CIEDE2000: about twice what is just seen side by side. chosen

double luminance(LinearRgb light) {
    return xyz_from_linear(light).y;
}

struct PixelRange {
    int left, top, right, bottom;  ///< half open
};

PixelRange pixels_of(const PixelBox& box) {
    return {static_cast<int>(std::lround(box.left)), static_cast<int>(std::lround(box.top)),
            static_cast<int>(std::lround(box.right)), static_cast<int>(std::lround(box.bottom))};
}

LinearRgb mean(const Image& image, const PixelRange& range) {
    LinearRgb sum;
    for (int r = range.top; r < range.bottom; ++r)
        for (int c = range.left; c < range.right; ++c) sum += image(r, c);
    return sum * (1.0 / ((range.right - range.left) * (range.bottom - range.top)));
}

bool is_clipped(const Image& image, const PixelRange& range) {
    int clipped = 0;
    for (int r = range.top; r < range.bottom; ++r)
        for (int c = range.left; c < range.right; ++c) {
            const LinearRgb p = image(r, c);
            clipped += std::max({p.r, p.g, p.b}) >= kClipped ? 1 : 0;
        }
    return clipped > kClippedPart * (range.right - range.left) * (range.bottom - range.top);
}

/// The largest difference in hue and saturation between parts of the patch, brightness set aside.
double unevenness(const Image& image, const PixelRange& range) {
    const int down = std::clamp((range.bottom - range.top) / 4, 1, 3);
    const int along = std::clamp((range.right - range.left) / 4, 1, 3);
    const double patch = luminance(mean(image, range));
    std::vector<Lab> parts;
    for (int j = 0; j < down; ++j)
        for (int i = 0; i < along; ++i) {
            const LinearRgb part = mean(image, {range.left + i * (range.right - range.left) / along,
                                                range.top + j * (range.bottom - range.top) / down,
                                                range.left + (i + 1) * (range.right - range.left) / along,
                                                range.top + (j + 1) * (range.bottom - range.top) / down});
            parts.push_back(lab_from_linear(part * (patch / std::max(luminance(part), 1e-9))));
        }
    double largest = 0;
    for (std::size_t i = 0; i < parts.size(); ++i)
        for (std::size_t k = i + 1; k < parts.size(); ++k)
            largest = std::max(largest, delta_e_2000(parts[i], parts[k]));
    return largest;
}

LinearRgb scaled(LinearRgb light, LinearRgb gain) {
    return {light.r * gain.r, light.g * gain.g, light.b * gain.b};
}

void warn(Cast& cast, double hue_range) {
    if (cast.clipped)
        cast.warnings.emplace_back("the patch is overexposed, so that its colour is not known; choose a darker one");
    if (cast.too_dark)
        cast.warnings.emplace_back("the patch is too dark to tell the light's colour; choose a lighter one");
    if (cast.too_small)
        cast.warnings.emplace_back("the patch has fewer than " + number_text(kFewPixels, 0) +
                                   " pixels; choose a larger one");
    if (cast.mixed)
        cast.warnings.emplace_back("the patch changes colour from one side to the other (CIEDE2000 " +
                                   number_text(hue_range, 1) +
                                   "): light of two colours falls on it, or it is not of one colour");
}

}  // namespace

std::optional<std::string> fault_of(const PixelBox& patch, int width, int height) {
    const std::string mend = "; give x,y,w,h in pixels of the upright picture";
    for (const double v : {patch.left, patch.top, patch.right, patch.bottom})
        if (!std::isfinite(v)) return "the patch is not made of numbers" + mend;
    if (patch.left < 0 || patch.top < 0 || patch.right > width || patch.bottom > height)
        return "the patch reaches beyond the picture of " + std::to_string(width) + " x " + std::to_string(height) +
               " pixels" + mend;
    const PixelRange range = pixels_of(patch);
    if (range.right <= range.left || range.bottom <= range.top) return "the patch holds no pixel" + mend;
    return std::nullopt;
}

Cast found_cast(const Image& upright, const PixelBox& patch, LinearRgb known) {
    require(!fault_of(patch, upright.columns(), upright.rows()), "the patch has no fault");
    require(std::min({known.r, known.g, known.b}) > 0, "the patch's own colour has something of each primary");
    const PixelRange range = pixels_of(patch);
    const LinearRgb seen = mean(upright, range);
    Cast cast;
    cast.clipped = is_clipped(upright, range);
    cast.too_dark = luminance(seen) < kDark;
    cast.too_small = (range.right - range.left) * (range.bottom - range.top) < kFewPixels;
    const double hue_range = unevenness(upright, range);
    cast.mixed = hue_range > kMixed;
    warn(cast, hue_range);
    if (std::min({seen.r, seen.g, seen.b}) <= 0) return cast;  // too dark: no gain would help
    const double scale = luminance(seen) / luminance(known);
    cast.gain = {known.r * scale / seen.r, known.g * scale / seen.g, known.b * scale / seen.b};
    cast.removed_de00 = delta_e_2000(lab_from_linear(seen), lab_from_linear(scaled(seen, cast.gain)));
    return cast;
}

Image without_cast(const Image& picture, const Cast& cast) {
    Image result = picture;
    for (LinearRgb& p : result) p = scaled(p, cast.gain);
    return result;
}

// ---- uneven light

namespace {

constexpr int kCells = 16;         // along each side of the picture
constexpr double kCellPart = 0.2;  // of a cell's pixels that have to be ground for it to count. chosen
constexpr double kLoosest = 1.5;   // uncertainty of the surface anywhere, in units of one cell's
constexpr double kDarkest = 1e-4;  // light under that is as dark as that: log of nothing

constexpr int kShadeTerms = 6;
using Terms = cv::Matx<double, kShadeTerms, 1>;
using Normal = cv::Matx<double, kShadeTerms, kShadeTerms>;

/// Of the first `count` terms; the others are 0, and held there.
Terms terms(double x, double y, int count) {
    Terms t(1, x, y, x * x, x * y, y * y);
    for (int i = count; i < kShadeTerms; ++i) t(i) = 0;
    return t;
}

double place_of(int cell) {
    return (2 * cell + 1.0) / kCells - 1;
}

struct GroundCell {
    double x = 0, y = 0;
    std::array<double, 3> log_light{};
    double weight = 1;
};

std::vector<GroundCell> ground_cells(const Image& picture, const Plane& ground) {
    std::vector<GroundCell> cells;
    for (int j = 0; j < kCells; ++j)
        for (int i = 0; i < kCells; ++i) {
            const int top = j * picture.rows() / kCells, bottom = (j + 1) * picture.rows() / kCells;
            const int left = i * picture.columns() / kCells, right = (i + 1) * picture.columns() / kCells;
            double sum = 0, x = 0, y = 0;
            LinearRgb light;
            for (int r = top; r < bottom; ++r)
                for (int c = left; c < right; ++c) {
                    const double w = ground(r, c);
                    sum += w;
                    light += picture(r, c) * w;
                    x += w * (2 * (c + 0.5) / picture.columns() - 1);
                    y += w * (2 * (r + 0.5) / picture.rows() - 1);
                }
            if (sum <= 0 || sum < kCellPart * (bottom - top) * (right - left)) continue;
            GroundCell cell;
            cell.x = x / sum;
            cell.y = y / sum;
            cell.log_light = {std::log(std::max(light.r / sum, kDarkest)), std::log(std::max(light.g / sum, kDarkest)),
                              std::log(std::max(light.b / sum, kDarkest))};
            cells.push_back(cell);
        }
    return cells;
}

Normal normal_of(const std::vector<GroundCell>& cells, int count) {
    Normal normal = Normal::eye() * 1e-9;
    for (const GroundCell& cell : cells) {
        const Terms t = terms(cell.x, cell.y, count);
        normal += t * t.t() * cell.weight;
    }
    for (int i = count; i < kShadeTerms; ++i) normal(i, i) = 1;
    return normal;
}

/// The surface's uncertainty where it is largest, in units of a single cell's.
double looseness(const std::vector<GroundCell>& cells, int count) {
    const Normal inverse = normal_of(cells, count).inv(cv::DECOMP_CHOLESKY);
    double largest = 0;
    for (int j = 0; j < kCells; ++j)
        for (int i = 0; i < kCells; ++i) {
            const Terms t = terms(place_of(i), place_of(j), count);
            largest = std::max(largest, std::sqrt((t.t() * inverse * t)(0)));
        }
    return largest;
}

using Surface = cv::Matx<double, kShadeTerms, 3>;

cv::Vec3d value(const Surface& surface, const Terms& t) {
    const cv::Matx<double, 1, 3> v = t.t() * surface;
    return {v(0), v(1), v(2)};
}

Surface fitted(std::vector<GroundCell>& cells, int count) {
    Surface surface = Surface::zeros();
    constexpr int kRounds = 15;
    for (int round = 0; round < kRounds; ++round) {
        Surface right = Surface::zeros();
        for (const GroundCell& cell : cells)
            right += terms(cell.x, cell.y, count) *
                     cv::Matx<double, 1, 3>(cell.log_light[0], cell.log_light[1], cell.log_light[2]) * cell.weight;
        surface = normal_of(cells, count).solve(right, cv::DECOMP_CHOLESKY);
        std::vector<double> misses;
        for (const GroundCell& cell : cells) {
            const cv::Vec3d miss = cv::Vec3d(cell.log_light[0], cell.log_light[1], cell.log_light[2]) -
                                   value(surface, terms(cell.x, cell.y, count));
            misses.push_back(cv::norm(miss));
        }
        std::vector<double> sorted = misses;
        std::sort(sorted.begin(), sorted.end());
        // 4.685 standard deviations of normal noise, as is usual for the biweight; not under a noise of 0.3 %
        const double ends = 4.685 * std::max(1.4826 * sorted[sorted.size() / 2], 0.003);
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const double miss = std::min(misses[i] / ends, 1.0);
            cells[i].weight = (1 - miss * miss) * (1 - miss * miss);
        }
    }
    return surface;
}

/// Means of x^2 and y^2 over the picture are a third: with that taken off, the field's log has mean 0.
LightField field_of(const Surface& surface) {
    LightField field;
    for (int k = 0; k < 3; ++k) {
        for (int i = 0; i < kShadeTerms; ++i)
            field.log_light[static_cast<std::size_t>(i)][static_cast<std::size_t>(k)] = surface(i, k);
        field.log_light[0][static_cast<std::size_t>(k)] = -(surface(3, k) + surface(5, k)) / 3;
    }
    double low = 1e300, high = 0;
    for (int j = 0; j < kCells; ++j)
        for (int i = 0; i < kCells; ++i) {
            const double light = luminance(field.light(place_of(i), place_of(j)));
            low = std::min(low, light);
            high = std::max(high, light);
        }
    field.strength = high / low;
    return field;
}

}  // namespace

LinearRgb LightField::light(double x, double y) const {
    const std::array<double, 6> t{1, x, y, x * x, x * y, y * y};
    std::array<double, 3> log{};
    for (std::size_t k = 0; k < 3; ++k)
        for (std::size_t i = 0; i < 6; ++i) log[k] += log_light[i][k] * t[i];
    return {std::exp(log[0]), std::exp(log[1]), std::exp(log[2])};
}

LightField light_field(const Image& picture, const Plane& ground) {
    require(!picture.empty(), "there is a picture");
    require(picture.rows() == ground.rows() && picture.columns() == ground.columns(), "ground lies on the picture");
    std::vector<GroundCell> cells = ground_cells(picture, ground);
    constexpr int kQuadratic = kShadeTerms, kLinear = 3;
    for (const int count : {kQuadratic, kLinear}) {
        if (cells.size() < 2 * static_cast<std::size_t>(count) || looseness(cells, count) > kLoosest) continue;
        std::vector<GroundCell> weighted = cells;
        const Surface surface = fitted(weighted, count);
        // What the fit left out must not have been what held it fast.
        if (looseness(weighted, count) > kLoosest) continue;
        LightField field = field_of(surface);
        field.kind = count == kQuadratic ? LightField::Kind::quadratic : LightField::Kind::linear;
        if (field.kind == LightField::Kind::linear)
            field.warning =
                "too few undyed places to tell more than the slope of the light; leave some yarn undyed, or light the "
                "blank evenly";
        return field;
    }
    LightField none;
    none.warning =
        "too few undyed places to tell how even the light was, and nothing was removed; leave some yarn undyed, or "
        "light the "
        "blank evenly";
    return none;
}

Image in_even_light(const Image& picture, const LightField& field) {
    Image result = picture;
    if (field.kind == LightField::Kind::none) return result;
    for_each_row(picture.rows(), picture.columns(), [&](int r) {
        for (int c = 0; c < picture.columns(); ++c) {
            const LinearRgb light =
                field.light(2 * (c + 0.5) / picture.columns() - 1, 2 * (r + 0.5) / picture.rows() - 1);
            LinearRgb& p = result(r, c);
            p = {p.r / light.r, p.g / light.g, p.b / light.b};
        }
    });
    return result;
}

Plane undyed_places(const Image& picture, LinearRgb undyed) {
    constexpr double kAlike = 5;      // CIEDE2000 at the undyed yarn's luminance. chosen: loops shade each other
    constexpr double kDimmest = 0.3;  // of the undyed yarn's luminance
    const Lab own = lab_from_linear(undyed);
    const double own_luminance = luminance(undyed);
    Plane places(picture.rows(), picture.columns());
    for_each_row(picture.rows(), picture.columns(), [&](int r) {
        for (int c = 0; c < picture.columns(); ++c) {
            const LinearRgb p = picture(r, c);
            const double light = luminance(p);
            if (light < kDimmest * own_luminance) continue;
            places(r, c) = delta_e_2000(lab_from_linear(p * (own_luminance / light)), own) < kAlike ? 1 : 0;
        }
    });
    return places;
}

}  // namespace loopread
