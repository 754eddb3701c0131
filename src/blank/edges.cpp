#include "loopread/blank/edges.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

// Chosen on drawn photos: a curl takes a tenth to a quarter of the light, or shows the paler underside; a design
// changes as much from the next stitch to the one after it.
constexpr double kDarker = 0.90;     // of the next stitch's light ...
constexpr double kNearlyAll = 0.75;  // ... at so many of the stitches along an edge
constexpr double kUnlike = 2;        // times the usual change from stitch to stitch ...
constexpr double kPlainlySeen = 3;   // ... and by so much more, CIEDE2000
constexpr double kDarkest = 1e-3;    // of white: darker than that light says nothing

double light_of(LinearRgb c) {
    return std::max(kDarkest, 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b);
}

/// Root mean square of the differences between two columns of stitches.
double change(const Image& one, const Image& other) {
    double sum = 0;
    for (int r = 0; r < one.rows(); ++r) {
        const double off = delta_e_2000(lab_from_linear(one(r, 0)), lab_from_linear(other(r, 0)));
        sum += off * off / one.rows();
    }
    return std::sqrt(sum);
}

/// Whether the stitches along the left edge curl beyond their inner halves.
bool left_edge_curls(const Image& picture, int stitches, int rows) {
    const double stitch = static_cast<double>(picture.columns()) / stitches;
    const auto column = [&](double from, double to) {
        return resampled(picture, {from * stitch, 0, to * stitch, static_cast<double>(picture.rows())}, rows, 1);
    };
    const Image inner = column(0.5, 1), next = column(1, 2), after = column(2, 3);
    int darker = 0;
    for (int r = 0; r < rows; ++r) darker += light_of(inner(r, 0)) < kDarker * light_of(next(r, 0)) ? 1 : 0;
    return darker >= kNearlyAll * rows || change(inner, next) > kUnlike * change(next, after) + kPlainlySeen;
}

/// The left edge read further in: mirrored about the middle of the outermost stitch, or about its inner side.
void read_left_edge_inside(Image& picture, int stitches, bool curls) {
    const double stitch = static_cast<double>(picture.columns()) / stitches;
    const double about = curls ? stitch : stitch / 2;
    for (int r = 0; r < picture.rows(); ++r)
        for (int c = 0; c + 0.5 < about; ++c) {
            const int from = std::min(static_cast<int>(2 * about - (c + 0.5)), picture.columns() - 1);
            picture(r, c) = picture(r, from);
        }
}

}  // namespace

EdgesReadInside edges_read_inside(const Image& picture, int stitches, int rows) {
    require(stitches >= 3 && rows >= 3, "there are stitches beside the outermost");
    require(picture.columns() >= 2 * stitches && picture.rows() >= 2 * rows, "a stitch has two pixels");
    EdgesReadInside out{picture, {}};
    // Each edge in turn is brought to the left; four quarter turns bring the picture back.
    bool* const curls[] = {&out.curled.left, &out.curled.bottom, &out.curled.right, &out.curled.top};
    int across = stitches, along = rows;
    for (bool* const curl : curls) {
        *curl = left_edge_curls(out.picture, across, along);
        read_left_edge_inside(out.picture, across, *curl);
        out.picture = turned(out.picture, QuarterTurn::clockwise_90);
        std::swap(across, along);
    }
    return out;
}

}  // namespace loopread
