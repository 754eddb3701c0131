#include "loopread/listing/close_up.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/image/image.h"
#include "loopread/unravel/order.h"
#include "loopread/wound/half_ravelled.h"

namespace loopread {
namespace {

constexpr int kStitchesAcross = 20;  // chosen: threads of a stitch are seen, and a motif is still told

/// Mean colour of each loop of the painted layer.
Image loop_means(const BlankLayout& layout, const std::vector<ColourRun>& strands) {
    Image means(layout.rows, layout.columns());
    const std::vector<LoopPlace> order = ravel_order(layout);
    const double loop = layout.loop_length.value;
    for (std::size_t i = 0; i < order.size(); ++i) {
        if (order[i].layer == Layer::hidden) continue;
        LinearRgb sum;
        for (const ColourRun& strand : strands)
            sum += strand.mean(static_cast<double>(i) * loop, static_cast<double>(i + 1) * loop);
        means(order[i].course, order[i].column) = sum * (1.0 / static_cast<double>(strands.size()));
    }
    return means;
}

/// How much a loop differs from the one to its right and the one below, summed from the top left corner on.
Plane summed_differences(const Image& means) {
    const auto apart = [](LinearRgb a, LinearRgb b) {
        return std::abs(a.r - b.r) + std::abs(a.g - b.g) + std::abs(a.b - b.b);
    };
    Plane sums(means.rows() + 1, means.columns() + 1);
    for (int r = 0; r < means.rows(); ++r)
        for (int c = 0; c < means.columns(); ++c) {
            const double right = c + 1 < means.columns() ? apart(means(r, c), means(r, c + 1)) : 0;
            const double below = r + 1 < means.rows() ? apart(means(r, c), means(r + 1, c)) : 0;
            sums(r + 1, c + 1) = right + below + sums(r, c + 1) + sums(r + 1, c) - sums(r, c);
        }
    return sums;
}

/// Loops as they lie on the table, without the yarn that is off.
std::vector<StrandPath> lying_loops(const CloseUp& what) {
    constexpr double kNextToNothing = 1e-9;
    std::vector<StrandPath> paths = half_ravelled({.layout = what.layout,
                                                   .shape = what.shape,
                                                   .winding = what.winding,
                                                   .share = kNextToNothing,
                                                   .seed = what.seed})
                                        .paths;
    paths.resize(paths.size() - static_cast<std::size_t>(what.layout.strands));  // those come last
    return paths;
}

/// Where the middle of a loop lies, as its yarn does.
WoundPoint middle_of(const CloseUp& what, const std::vector<StrandPath>& paths, int row, int column) {
    const std::vector<LoopPlace> order = ravel_order(what.layout);
    const auto place = std::find_if(order.begin(), order.end(), [&](const LoopPlace& loop) {
        return loop.layer == Layer::painted && loop.course == row && loop.column == column;
    });
    require(place != order.end(), "the loop is one of the painted side");
    const auto along =
        static_cast<float>((static_cast<double>(place - order.begin()) + 0.5) * what.layout.loop_length.value);
    const auto off = [&](const WoundPoint& point) { return std::abs(point.along_mm - along); };
    WoundPoint nearest = paths.front().points.front();
    for (const StrandPath& path : paths)
        for (const WoundPoint& point : path.points)
            if (off(point) < off(nearest)) nearest = point;
    return nearest;
}

/// Between b and c, the curve through all four (Catmull and Rom).
WoundPoint between(const WoundPoint& a, const WoundPoint& b, const WoundPoint& c, const WoundPoint& d, float t) {
    const auto at = [&](float p, float q, float r, float s) {
        return q + 0.5F * t * (r - p + t * (2 * p - 5 * q + 4 * r - s + t * (3 * (q - r) + s - p)));
    };
    return {at(a.x, b.x, c.x, d.x), at(a.y, b.y, c.y, d.y), at(a.z, b.z, c.z, d.z),
            b.along_mm + t * (c.along_mm - b.along_mm)};
}

/// The part of the paths within reach of the middle, so finely divided that no corner is seen.
std::vector<StrandPath> seen_part(const std::vector<StrandPath>& paths, const WoundPoint& middle, float reach_x,
                                  float reach_y) {
    constexpr int kPieces = 2;
    const auto within = [&](const WoundPoint& p) {
        return std::abs(p.x - middle.x) < reach_x && std::abs(p.y - middle.y) < reach_y;
    };
    std::vector<StrandPath> parts;
    for (const StrandPath& path : paths) {
        const std::vector<WoundPoint>& all = path.points;
        StrandPath part{path.strand, path.radius_mm, {}};
        const auto close = [&] {
            if (part.points.size() > 1) parts.push_back(part);
            part.points.clear();
        };
        for (std::size_t i = 0; i + 1 < all.size(); ++i) {
            if (!within(all[i]) && !within(all[i + 1])) {
                close();
                continue;
            }
            const WoundPoint &before = all[i == 0 ? 0 : i - 1], &after = all[std::min(i + 2, all.size() - 1)];
            if (part.points.empty()) part.points.push_back(all[i]);
            for (int k = 1; k <= kPieces; ++k)
                part.points.push_back(between(before, all[i], all[i + 1], after, static_cast<float>(k) / kPieces));
        }
        close();
    }
    return parts;
}

}  // namespace

LoopWindow liveliest_window(const CloseUp& what, const std::vector<ColourRun>& strands) {
    const BlankLayout& layout = what.layout;
    const double rows_per_column = layout.wale_spacing / layout.course_spacing * what.rows / what.columns;
    // A loop more each way than is shown, so that no edge comes into view; of a small blank all there is.
    const double most_columns = std::max(1, std::min(kStitchesAcross, layout.columns() - 2));
    const double most_rows = std::max(1, layout.rows - 2);
    LoopWindow best;
    best.columns = std::min(most_columns, most_rows / rows_per_column);
    best.rows = best.columns * rows_per_column;
    const int rows = std::min(layout.rows, static_cast<int>(std::ceil(best.rows)) + 2);
    const int columns = std::min(layout.columns(), static_cast<int>(std::ceil(best.columns)) + 2);
    const Plane sums = summed_differences(loop_means(layout, strands));
    double most = -1;
    for (int r = 0; r + rows <= layout.rows; ++r)
        for (int c = 0; c + columns <= layout.columns(); ++c) {
            const double here = sums(r + rows, c + columns) - sums(r, c + columns) - sums(r + rows, c) + sums(r, c);
            if (here <= most * (1 + 1e-9)) continue;
            most = here;
            best.row = r;
            best.column = c;
        }
    return best;
}

Picture8 close_up(const CloseUp& what, const std::vector<ColourRun>& strands) {
    require(what.rows > 0 && what.columns > 0 && static_cast<int>(strands.size()) == what.layout.strands,
            "a picture has a size, and the blank its strands");
    const LoopWindow window = liveliest_window(what, strands);
    const std::vector<StrandPath> loops = lying_loops(what);
    const int last_row = what.layout.rows - 1, last_column = what.layout.columns() - 1;
    PaintOptions options;
    options.rows = what.rows;
    options.columns = what.columns;
    options.ground = what.ground;
    options.seed = what.seed;
    options.view.pixels_per_mm = what.columns / (window.columns * what.layout.wale_spacing.value);
    options.view.middle = middle_of(what, loops, std::min(last_row, window.row + static_cast<int>(window.rows / 2) + 1),
                                    std::min(last_column, window.column + static_cast<int>(window.columns / 2) + 1));
    options.view.middle.z = 0;
    constexpr double kRim = 12;  // mm beyond the picture whose shade falls into it
    const auto reach = [&](int pixels) { return static_cast<float>(pixels / options.view.pixels_per_mm / 2 + kRim); };
    return painted_strands(seen_part(loops, options.view.middle, reach(what.columns), reach(what.rows)), strands,
                           options)
        .picture;
}

}  // namespace loopread
