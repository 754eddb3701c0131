#pragma once

// Two photos of one blank, made sight by sight from the loop cell and the shares: what the other side shows is worked
// out here once more, with nothing of the code that reads it.

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "loopread/loop/cell.h"
#include "loopread/sides/show_through.h"

namespace loopread::side_photos {

inline constexpr LinearRgb kUndyed{0.80, 0.72, 0.58};
inline constexpr LinearRgb kRed{0.45, 0.06, 0.08}, kBlue{0.05, 0.15, 0.42}, kGold{0.62, 0.40, 0.06};

/// Colour at a place in stitches from the left and rows from the top; alpha 0 is undyed.
using Design = std::function<LinearRgb(double, double)>;

/// Blots of three colours on undyed yarn, strewn by a seed.
inline Design blots(std::uint64_t seed, int stitches, int rows) {
    struct Blot {
        double x, y, radius;
        LinearRgb colour;
    };
    std::vector<Blot> all;
    Random random(seed, 3);
    for (int i = 0; i < stitches * rows / 90; ++i) {
        const double x = random.uniform() * stitches, y = random.uniform() * rows;
        const double which = random.uniform();
        all.push_back({x, y, 2.5 + 2.5 * random.uniform(), which < 0.4 ? kRed : which < 0.75 ? kBlue : kGold});
    }
    return [all](double x, double y) {
        for (const Blot& b : all)
            if (std::hypot(x - b.x, (y - b.y) / 1.31) < b.radius) return b.colour;
        return kUndyed;
    };
}

struct Recipe {
    int stitches = 30, rows = 60;
    double wrap = 0.7, penetration = 0.4;
    int strands = 1;
    Side other = Side::back;
    double noise = 0.01;          ///< of the light of white, a pixel
    double uneven = 0.06;         ///< of a whole stitch's light
    double blur = 0.8;            ///< pixels
    double exposure = 1;          ///< of the other photo
    double off_x = 0, off_y = 0;  ///< of the other photo, stitches and rows
    double sway = 0;              ///< stitches that its wales bend to one side half way
    std::uint64_t seed = 1;
};
inline constexpr int kAcross = 8, kAlong = 6;

inline void add_noise(Image& image, const Recipe& recipe, std::uint64_t purpose) {
    Random random(recipe.seed, purpose);
    for (LinearRgb& p : image)
        p += {recipe.noise * random.normal(), recipe.noise * random.normal(), recipe.noise * random.normal()};
}

inline Image painted_photo(const Recipe& recipe, const Design& design) {
    Image out(recipe.rows * kAlong, recipe.stitches * kAcross);
    for (int r = 0; r < out.rows(); ++r)
        for (int c = 0; c < out.columns(); ++c) out(r, c) = design((c + 0.5) / kAcross, (r + 0.5) / kAlong);
    out = blurred(out, recipe.blur, recipe.blur);
    add_noise(out, recipe, 1);
    return out;
}

/// The dyed part of what a line of sight from the other side meets.
inline double dyed_part(double painted, double other, const Recipe& recipe) {
    const double reached = std::min(1.0, painted + painted * recipe.wrap);
    const double unseen = 1 - other;  // paint takes this first
    const double open = other > 0 ? std::max(0.0, reached - unseen) / other : 0;
    return std::min(1.0, open) + recipe.penetration * (1 - std::min(1.0, open));
}

/// As seen through from the painted side.
inline Image other_photo(const Recipe& recipe, const Design& design) {
    constexpr int kAngles = 8, kFine = 4;
    const LoopShape shape(LoopProportions{});
    const CellShares shares(shape, recipe.strands);
    const Side painted = recipe.other == Side::back ? Side::face : Side::back;
    struct Sight {
        double dyed, shade;
    };
    std::vector<Grid<Sight>> stitch;
    for (int a = 0; a < (recipe.strands == 1 ? 1 : kAngles); ++a) {
        const double angle = 2 * std::numbers::pi * a / kAngles;
        const LoopCell cell(shape, recipe.strands, angle);
        Grid<Sight> sights(kAlong * kFine, kAcross * kFine);
        for (int r = 0; r < sights.rows(); ++r)
            for (int c = 0; c < sights.columns(); ++c) {
                const SeenYarn seen = cell.seen(recipe.other, (c + 0.5) / sights.columns() - 0.5,
                                                (0.5 - (r + 0.5) / sights.rows()) * shape.course_spacing());
                sights(r, c) = {dyed_part(shares.share(painted, seen.strand, seen.place, angle),
                                          shares.share(recipe.other, seen.strand, seen.place, angle), recipe),
                                seen.outside > 0 ? 0.35 : 0.45 + 0.55 * std::abs(seen.normal.z)};
            }
        stitch.push_back(std::move(sights));
    }
    Image out(recipe.rows * kAlong, recipe.stitches * kAcross);
    for (int r = 0; r < out.rows(); ++r)
        for (int c = 0; c < out.columns(); ++c) {
            LinearRgb sum;
            for (int k = 0; k < kFine * kFine; ++k) {
                const double v = (r + (k / kFine + 0.5) / kFine) / kAlong;
                const double along = v / recipe.rows;
                const double x =
                    (c + (k % kFine + 0.5) / kFine) / kAcross - recipe.off_x - 4 * recipe.sway * along * (1 - along);
                const double y = v - recipe.off_y;
                const auto row = static_cast<int>(std::floor(y)), column = static_cast<int>(std::floor(x));
                const auto angle = static_cast<std::size_t>(std::abs(3 * row + column) / 2) % stitch.size();
                const Grid<Sight>& sights = stitch[angle];
                const Sight& sight = sights(static_cast<int>((y - row) * sights.rows()),
                                            static_cast<int>((x - column) * sights.columns()));
                const double light = 1 + recipe.uneven * (2 * hashed_unit(recipe.seed, row, column) - 1);
                sum += mixed(kUndyed, design(x, y), sight.dyed) * (sight.shade * light);
            }
            out(r, c) = sum * (recipe.exposure / (kFine * kFine));
        }
    out = blurred(out, recipe.blur, recipe.blur);
    add_noise(out, recipe, 2);
    return out;
}

inline SidesModel model_of(const Recipe& recipe) {
    SidesModel model;
    model.strands = recipe.strands;
    model.other = recipe.other;
    model.undyed = kUndyed;
    return model;
}

inline SidePair pair_of(const Recipe& recipe, const Design& design) {
    return {painted_photo(recipe, design), other_photo(recipe, design), {recipe.stitches, recipe.rows}};
}

}  // namespace loopread::side_photos
