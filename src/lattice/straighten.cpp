#include "loopread/lattice/straighten.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr double kBeyond = 0.35;  // stitches beyond the outermost middles; chosen: the rest curls and shows its back

/// @param across, along  in stitches from the middle of the first one
PicturePoint between(const Grid<PicturePoint>& middles, double across, double along) {
    across = std::clamp(across, -kBeyond, middles.columns() - 1 + kBeyond);
    along = std::clamp(along, -kBeyond, middles.rows() - 1 + kBeyond);
    const int left = std::clamp(static_cast<int>(std::floor(across)), 0, middles.columns() - 2);
    const int top = std::clamp(static_cast<int>(std::floor(along)), 0, middles.rows() - 2);
    const double u = across - left, v = along - top;  // beyond the outermost middles under 0 or over 1
    const auto mix = [&](double PicturePoint::*part) {
        return (middles(top, left).*part * (1 - u) + middles(top, left + 1).*part * u) * (1 - v) +
               (middles(top + 1, left).*part * (1 - u) + middles(top + 1, left + 1).*part * u) * v;
    };
    return {mix(&PicturePoint::x), mix(&PicturePoint::y)};
}

}  // namespace

Image straightened(const Image& photo, const Grid<PicturePoint>& middles, int rows, int columns) {
    require(middles.rows() >= 2 && middles.columns() >= 2, "there are stitches between which to look");
    require(!photo.empty() && rows > 0 && columns > 0, "there is a picture to straighten");
    constexpr double kLooks[] = {0.25, 0.75};
    Image out(rows, columns);
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x) {
            LinearRgb sum;
            for (const double down : kLooks)
                for (const double right : kLooks) {
                    const PicturePoint place = between(middles, (x + right) / columns * middles.columns() - 0.5,
                                                       (y + down) / rows * middles.rows() - 0.5);
                    sum += at(photo, place.x, place.y);
                }
            out(y, x) = sum * 0.25;
        }
    return out;
}

}  // namespace loopread
