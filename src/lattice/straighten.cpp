#include "loopread/lattice/straighten.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "image/bilinear.h"
#include "image/shared_rows.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kBeyond = 0.35;  // stitches beyond the outermost middles; chosen: the rest curls and shows its back
constexpr std::array<double, 2> kLooks{0.25, 0.75};  // across and down each pixel

/// Between which two stitches a look lies; beyond the outermost middles `share` is under 0 or over 1.
struct Between {
    int first = 0;
    double share = 0;  ///< of the one after the first
};

/// @param place  in stitches from the middle of the first one
Between between(double place, int stitches) {
    place = std::clamp(place, -kBeyond, stitches - 1 + kBeyond);
    const int first = std::clamp(static_cast<int>(std::floor(place)), 0, stitches - 2);
    return {first, place - first};
}

PicturePoint mixed(PicturePoint one, PicturePoint other, double share) {
    return {one.x * (1 - share) + other.x * share, one.y * (1 - share) + other.y * share};
}

/// Where every look along a row of pixels lies.
std::vector<Between> looks_along(int pixels, int stitches) {
    std::vector<Between> looks;
    for (int i = 0; i < pixels; ++i)
        for (const double look : kLooks) looks.push_back(between((i + look) / pixels * stitches - 0.5, stitches));
    return looks;
}

}  // namespace

Image straightened(const Image& photo, const Grid<PicturePoint>& middles, int rows, int columns) {
    require(middles.rows() >= 2 && middles.columns() >= 2, "there are stitches between which to look");
    require(!photo.empty() && rows > 0 && columns > 0, "there is a picture to straighten");
    const std::vector<Between> across = looks_along(columns, middles.columns());
    const std::vector<Between> down = looks_along(rows, middles.rows());
    Image out(rows, columns);
    for_each_row(rows, columns, [&](int y) {
        std::vector<PicturePoint> line(static_cast<std::size_t>(middles.columns()));
        LinearRgb* const pixels = out.row(y);
        for (std::size_t look = 0; look < kLooks.size(); ++look) {
            const Between row = down[kLooks.size() * static_cast<std::size_t>(y) + look];
            std::transform(middles.row(row.first), middles.row(row.first) + line.size(), middles.row(row.first + 1),
                           line.begin(), [&](PicturePoint a, PicturePoint b) { return mixed(a, b, row.share); });
            for (std::size_t i = 0; i < across.size(); ++i) {
                const auto left = static_cast<std::size_t>(across[i].first);
                const PicturePoint place = mixed(line[left], line[left + 1], across[i].share);
                pixels[i / kLooks.size()] += bilinear(photo, place.x, place.y);
            }
        }
        std::transform(pixels, pixels + columns, pixels, [](LinearRgb sum) { return sum * 0.25; });
    });
    return out;
}

Image straightened(const Image& photo, const KnitLattice& lattice) {
    constexpr int kPixelsAcross = 8, kPixelsAlong = 6;  // pixels of a stitch
    require(lattice.found(), "the stitches were found");
    return straightened(photo, lattice.middles, lattice.rows * kPixelsAlong, lattice.stitches * kPixelsAcross);
}

}  // namespace loopread
