#include "loopread/compare/dyed_picture.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "loopread/base/require.h"
#include "loopread/lattice/straighten.h"

namespace loopread {
namespace {

constexpr int kLeast = 6, kMost = 20;  // pixels of a stitch each way: enough for its legs, few enough to be quick

/// Standard deviation of the logarithm of what was divided out.
double relief_of(const Image& with, const Image& without) {
    constexpr double kDark = 1e-3;
    double sum = 0, squares = 0;
    for (auto one = with.begin(), other = without.begin(); one != with.end(); ++one, ++other) {
        const double log = std::log(std::max(kDark, one->g) / std::max(kDark, other->g));
        sum += log;
        squares += log * log;
    }
    const double count = static_cast<double>(with.size());
    return std::sqrt(std::max(0.0, squares / count - sum / count * (sum / count)));
}

}  // namespace

double DyedPicture::floor_mm() const {
    constexpr double kPixels = 2;  // under about two pixels the grid decides; tests/data/esf_gaussian.csv
    return std::max(kPixels * light_pixel_mm, stitch_mm() / 2);
}

DyedPicture plain_picture(Image flat, PictureSize size) {
    require(!flat.empty() && size.width_mm > 0 && size.height_mm > 0, "the picture has a size");
    DyedPicture out;
    out.pixel_width_mm = size.width_mm / flat.columns();
    out.pixel_height_mm = size.height_mm / flat.rows();
    out.light_pixel_mm = std::max(out.pixel_width_mm, out.pixel_height_mm);
    out.light = std::move(flat);
    return out;
}

DyedPicture knitted_picture(const Image& flat, const KnitLattice& lattice, PictureSize size) {
    require(lattice.found() && lattice.turn == QuarterTurn::none, "stitches were found, and they stand upright");
    const double across = flat.columns() / lattice.stitches_across, along = flat.rows() / lattice.rows_along;
    const int columns = lattice.stitches * std::clamp(static_cast<int>(std::lround(across)), kLeast, kMost);
    const int rows = lattice.rows * std::clamp(static_cast<int>(std::lround(along)), kLeast, kMost);
    const Image straight = straightened(flat, lattice.middles, rows, columns);
    const CellCount cells{lattice.stitches, lattice.rows};
    DyedPicture out =
        plain_picture(without_shade(straight, cells), {size.width_mm * lattice.stitches / lattice.stitches_across,
                                                       size.height_mm * lattice.rows / lattice.rows_along});
    out.cells = cells;
    out.v_opens_up = lattice.v_opens_up;
    out.relief = relief_of(straight, out.light);
    out.light_pixel_mm = std::max(size.width_mm / flat.columns(), size.height_mm / flat.rows());
    // Of the photo's pixels the box (1/12) and the straight lines between them (1/6); of the new ones four looks
    // (1/16).
    const double source = flat.columns() / lattice.stitches_across * lattice.stitches / columns;
    out.sampling_variance = (1.0 / 12 + 1.0 / 6) / (source * source) + 1.0 / 16;
    return out;
}

DyedPicture turned(const DyedPicture& picture, QuarterTurn turn) {
    const bool quarter = turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270;
    require(!quarter || !picture.knitted(), "stitches stay upright");
    DyedPicture out = picture;
    out.light = turned(picture.light, turn);
    if (quarter) std::swap(out.pixel_width_mm, out.pixel_height_mm);
    if (turn == QuarterTurn::clockwise_180) out.v_opens_up = !picture.v_opens_up;
    return out;
}

}  // namespace loopread
