#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "loopread/raster/cloth.h"

namespace loopread {

enum class KnitDye { none, bands, dots, stripes };
enum class KnitKind { knit_side, purl_side, rib_2_2, garter };

/// One rectified photo of knitting to be made up.
struct KnitPhotoRecipe {
    int stitches = 40, rows = 60;
    double pixels = 8;  ///< a stitch
    int strands = 1;
    KnitKind knitting = KnitKind::knit_side;
    KnitDye dye = KnitDye::none;
    double wale_per_course = 1.31;
    double pitch_change_x = 0;  ///< the last stitch is wider than the first by this share
    double pitch_change_y = 0;
    double bow_rows = 0;      ///< courses sag by so many rows in their middle
    double bow_stitches = 0;  ///< wales bend by so many stitches half way down
    double lean_degrees = 0;  ///< other than 0: a window of a larger fabric whose wales lean to the right going down
    double light_fall = 0;    ///< share of the light lost from the left top to the right bottom
    double noise = 0;         ///< standard deviation, of the light of white
    double blur = 0;          ///< standard deviation, pixels
    std::uint64_t seed = 1;
};

/// A place of the fabric: stitches from the left selvedge, rows from the top; the middle of the first is (0.5, 0.5).
struct FabricPlace {
    double stitch = 0, row = 0;
};

/// Where each point of the photo lies in the fabric: known, since the photo is made from it.
class PhotoWarp {
public:
    explicit PhotoWarp(const KnitPhotoRecipe& recipe)
        : recipe_(recipe),
          width_(std::round(recipe.stitches * recipe.pixels)),
          height_(std::round(recipe.rows * recipe.pixels / recipe.wale_per_course)) {}

    int width() const { return static_cast<int>(width_); }
    int height() const { return static_cast<int>(height_); }
    FabricPlace at(double x, double y) const {
        const double s = x / width_, t = y / height_;
        const double inside = 16 * s * (1 - s) * t * (1 - t);  // 0 along all four edges
        return {recipe_.stitches * share_passed(s, recipe_.pitch_change_x) +
                    inside * recipe_.bow_stitches * std::sin(4 * t + 1) - lean() * (t - 0.5) * height_ / recipe_.pixels,
                recipe_.rows * share_passed(t, recipe_.pitch_change_y) + inside * recipe_.bow_rows};
    }

private:
    double lean() const { return std::tan(recipe_.lean_degrees * std::numbers::pi / 180); }
    /// Share of all stitches that lies before a share of the width when pitch grows evenly.
    static double share_passed(double s, double change) {
        return change == 0 ? s : std::log1p(s * change) / std::log1p(change);
    }
    KnitPhotoRecipe recipe_;
    double width_, height_;
};

struct KnitPhoto {
    Image image;
    PhotoWarp truth;
};

namespace knit_photo {

constexpr int kMargin = 34;  // stitches and rows of fabric beyond a leaning window

inline LinearRgb dyed(const KnitPhotoRecipe& recipe, double stitch, double row) {
    constexpr LinearRgb kUndyed{0.62, 0.56, 0.45}, kRed{0.45, 0.06, 0.05}, kBlue{0.04, 0.12, 0.35},
        kGold{0.6, 0.38, 0.05};
    const double x = stitch, y = row / recipe.wale_per_course;  // both in stitch widths
    switch (recipe.dye) {
        case KnitDye::none:
            return kUndyed;
        case KnitDye::bands: {
            const double place = y / 9 + 0.3 * static_cast<double>(recipe.seed % 7);
            const int band = static_cast<int>(std::floor(place)) % 3;
            return band == 0 ? kRed : band == 1 ? kUndyed : kBlue;
        }
        case KnitDye::dots: {
            const double u = x / 11 - std::floor(x / 11) - 0.5, v = y / 11 - std::floor(y / 11) - 0.5;
            return u * u + v * v < 0.09 ? kBlue : kGold;
        }
        case KnitDye::stripes: {  // aslant, soft
            const double wave = std::sin(2 * std::numbers::pi * (x * 0.8 + y * 0.5) / 8);
            return mixed(kUndyed, kRed, 0.5 + 0.5 * std::tanh(2 * wave));
        }
    }
    return kUndyed;
}

/// Loops painted where each bit of their centreline lies.
inline Cloth dyed_cloth(const KnitPhotoRecipe& recipe, const LoopShape& shape, int margin) {
    Cloth cloth(recipe.rows + 2 * margin, recipe.stitches + 2 * margin, recipe.strands);
    for (int row = 0; row < cloth.rows(); ++row)
        for (int column = 0; column < cloth.columns(); ++column) {
            cloth.set_worked(row, column);
            cloth.angle(row, column) = static_cast<std::uint8_t>((row * 3 + column) / 5 % CellShares::kAngles);
            for (int strand = 0; strand < recipe.strands; ++strand)
                for (int p = 0; p < Cloth::kPlaces; ++p) {
                    const LoopVector at = shape.point(shape.t_at((p + 0.5) / Cloth::kPlaces));
                    const LinearRgb paint =
                        dyed(recipe, column + 0.5 + at.x, row + 0.5 - at.y * recipe.wale_per_course);
                    cloth.loop(row, column, strand)[p] = paint * (strand == 0 ? 1.0 : 0.85);
                }
        }
    return cloth;
}

inline bool purl_at(KnitKind knitting, int row, int column) {
    switch (knitting) {
        case KnitKind::knit_side:
            return false;
        case KnitKind::purl_side:
            return true;
        case KnitKind::rib_2_2:
            return column % 4 >= 2;
        case KnitKind::garter:
            return row % 2 == 0;
    }
    return false;
}

/// The fabric lying flat. Purl stitches among knit ones: those that lie deeper (purl in rib, knit in garter) are
/// darker.
inline Image flat_picture(const KnitPhotoRecipe& recipe, int margin) {
    const double ratio = recipe.wale_per_course;
    const LoopShape shape(
        LoopProportions{std::clamp(ratio, 1.15, 1.45), std::sqrt(23.1 / std::clamp(ratio, 1.15, 1.45))});
    const Cloth cloth = dyed_cloth(recipe, shape, margin);
    ClothLook look;
    look.pixels_per_stitch = std::max(8.0, 1.3 * recipe.pixels);
    look.wale_per_course = ratio;
    look.seed = recipe.seed;
    Image face = drawn_cloth(cloth, shape, look);
    if (recipe.knitting == KnitKind::knit_side) return face;
    look.side = Side::back;
    const Image back = drawn_cloth(cloth, shape, look);
    for (int y = 0; y < face.rows(); ++y)
        for (int x = 0; x < face.columns(); ++x) {
            const bool purl =
                purl_at(recipe.knitting, y * cloth.rows() / face.rows(), x * cloth.columns() / face.columns());
            const bool deep =
                (recipe.knitting == KnitKind::rib_2_2 && purl) || (recipe.knitting == KnitKind::garter && !purl);
            face(y, x) = (purl ? back(y, x) : face(y, x)) * (deep ? 0.7 : 1.0);
        }
    return face;
}

inline void light_and_noise(Image& image, const KnitPhotoRecipe& recipe) {
    Random random(recipe.seed, 77);
    for (int y = 0; y < image.rows(); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const double place =
                0.5 * (static_cast<double>(x) / image.columns() + static_cast<double>(y) / image.rows());
            LinearRgb& pixel = image(y, x);
            pixel = pixel * (1 - recipe.light_fall * place);
            pixel += {recipe.noise * random.normal(), recipe.noise * random.normal(), recipe.noise * random.normal()};
            pixel = {std::max(0.0, pixel.r), std::max(0.0, pixel.g), std::max(0.0, pixel.b)};
        }
}

/// What eight bits and a coder keep: values rounded in sRGB, colour blurred over 2 x 2 pixels.
inline Image stored(const Image& image) {
    Image result = decoded(encoded(image));
    const Image soft = blurred(result, 1.0, 1.0);
    for (int y = 0; y < image.rows(); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const LinearRgb sharp = result(y, x), dull = soft(y, x);
            const double from = dull.r + dull.g + dull.b;
            if (from > 1e-4) result(y, x) = dull * ((sharp.r + sharp.g + sharp.b) / from);
        }
    return result;
}

}  // namespace knit_photo

/// The finished picture of a flat fabric, bent, lit, blurred, made noisy and stored.
inline KnitPhoto knit_photo_of(const KnitPhotoRecipe& recipe) {
    const int margin = recipe.lean_degrees == 0 ? 0 : knit_photo::kMargin;
    const Image flat = knit_photo::flat_picture(recipe, margin);
    KnitPhoto photo{Image(), PhotoWarp(recipe)};
    photo.image = Image(photo.truth.height(), photo.truth.width());
    const double across = flat.columns() / static_cast<double>(recipe.stitches + 2 * margin);
    const double along = flat.rows() / static_cast<double>(recipe.rows + 2 * margin);
    constexpr int kSights = 3;  // each way in a pixel
    for (int y = 0; y < photo.image.rows(); ++y)
        for (int x = 0; x < photo.image.columns(); ++x) {
            LinearRgb sum;
            for (int i = 0; i < kSights * kSights; ++i) {
                const FabricPlace place =
                    photo.truth.at(x + (i % kSights + 0.5) / kSights, y + (i / kSights + 0.5) / kSights);
                sum += at(flat, (place.stitch + margin) * across, (place.row + margin) * along);
            }
            photo.image(y, x) = sum * (1.0 / (kSights * kSights));
        }
    if (recipe.blur > 0) photo.image = blurred(photo.image, recipe.blur, recipe.blur);
    knit_photo::light_and_noise(photo.image, recipe);
    photo.image = knit_photo::stored(photo.image);
    return photo;
}

enum class Weave { plain, twill };

/// Woven cloth, `pixels` from thread to thread both ways.
inline Image woven_photo(Weave weave, double pixels, std::uint64_t seed) {
    Image image(360, 280);
    Random random(seed, 5);
    for (int y = 0; y < image.rows(); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const double u = (x + 0.5) / pixels, v = (y + 0.5) / pixels;
            const int i = static_cast<int>(u), j = static_cast<int>(v);
            const bool warp = weave == Weave::plain ? (i + j) % 2 == 0 : (i + j) % 4 < 2;
            const double across = warp ? u - i - 0.5 : v - j - 0.5, along = warp ? v - j - 0.5 : u - i - 0.5;
            const double shade = (1 - 2.2 * across * across) * (1 - 1.2 * along * along) + 0.02 * random.normal();
            image(y, x) = LinearRgb{0.6, 0.55, 0.5} * std::max(0.02, shade);
        }
    return image;
}

}  // namespace loopread
