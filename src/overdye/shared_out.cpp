#include "loopread/overdye/shared_out.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "loopread/base/require.h"
#include "loopread/blank/paint.h"
#include "loopread/lay/motifs.h"

namespace loopread {
namespace {

constexpr double kOneMotif = 1.0 / 3;  // of the usual size of a shape

struct Pixel {
    int row = -1, column = -1;
};

/// The nearest shape of every pixel: rings grow from the shapes, each pixel takes over its neighbour's nearest point.
struct Nearest {
    Grid<int> shape;
    Grid<Pixel> point;  ///< of that shape
};
Nearest nearest_shapes(const Grid<int>& owner) {
    Nearest nearest{owner, Grid<Pixel>(owner.rows(), owner.columns())};
    std::vector<Pixel> edge, next;
    for (int row = 0; row < owner.rows(); ++row)
        for (int column = 0; column < owner.columns(); ++column)
            if (owner(row, column) >= 0) {
                nearest.point(row, column) = {row, column};
                edge.push_back({row, column});
            }
    for (; !edge.empty(); edge.swap(next)) {
        next.clear();
        for (const Pixel p : edge)
            for (int dr = -1; dr <= 1; ++dr)
                for (int dc = -1; dc <= 1; ++dc) {
                    const int row = p.row + dr, column = p.column + dc;
                    if (row < 0 || column < 0 || row >= owner.rows() || column >= owner.columns()) continue;
                    if (nearest.shape(row, column) >= 0) continue;
                    nearest.shape(row, column) = nearest.shape(p.row, p.column);
                    nearest.point(row, column) = nearest.point(p.row, p.column);
                    next.push_back({row, column});
                }
    }
    return nearest;
}

/// Shapes that belong together, each by the lowest index among them.
class Families {
public:
    explicit Families(std::size_t shapes) : head_(shapes) { std::iota(head_.begin(), head_.end(), std::size_t{0}); }
    std::size_t head(std::size_t shape) const {
        while (head_[shape] != shape) shape = head_[shape];
        return shape;
    }
    void join(std::size_t a, std::size_t b) {
        const std::size_t first = std::min(head(a), head(b)), second = std::max(head(a), head(b));
        head_[second] = first;
    }

private:
    std::vector<std::size_t> head_;
};

void join_near(Families& families, const Nearest& nearest, const BlankRaster& raster, double nearer_than_mm) {
    const auto look = [&](Pixel a, Pixel b) {
        const int one = nearest.shape(a.row, a.column), other = nearest.shape(b.row, b.column);
        if (one == other) return;
        const Pixel from = nearest.point(a.row, a.column), to = nearest.point(b.row, b.column);
        const double gap =
            std::hypot((from.column - to.column) * raster.mm_per_column, (from.row - to.row) * raster.mm_per_row);
        if (gap < nearer_than_mm) families.join(static_cast<std::size_t>(one), static_cast<std::size_t>(other));
    };
    for (int row = 0; row < raster.rows; ++row)
        for (int column = 0; column < raster.columns; ++column) {
            if (column + 1 < raster.columns) look({row, column}, {row, column + 1});
            if (row + 1 < raster.rows) look({row, column}, {row + 1, column});
        }
}

/// A motif with all its shapes.
struct Whole {
    std::size_t head = 0;
    double left = std::numeric_limits<double>::max(), right = 0, top = left, bottom = 0;
    double middle() const { return (top + bottom) / 2; }
};

/// Line by line as they lie, a line being all whose middles are within half a usual height of its first.
void put_in_order(std::vector<Whole>& wholes) {
    std::vector<double> heights;
    for (const Whole& whole : wholes) heights.push_back(whole.bottom - whole.top);
    std::sort(heights.begin(), heights.end());
    const double half = heights[heights.size() / 2] / 2;
    std::stable_sort(wholes.begin(), wholes.end(),
                     [](const Whole& a, const Whole& b) { return a.middle() < b.middle(); });
    for (auto first = wholes.begin(); first != wholes.end();) {
        const double start = first->middle();
        const auto end = std::find_if(first, wholes.end(), [&](const Whole& w) { return w.middle() - start > half; });
        std::stable_sort(first, end, [](const Whole& a, const Whole& b) { return a.left < b.left; });
        first = end;
    }
}

std::vector<Whole> wholes_of(const Motifs& motifs, const Families& families) {
    std::vector<Whole> wholes;
    for (std::size_t shape = 0; shape < motifs.motifs.size(); ++shape) {
        const std::size_t head = families.head(shape);
        auto whole = std::find_if(wholes.begin(), wholes.end(), [&](const Whole& w) { return w.head == head; });
        if (whole == wholes.end()) whole = wholes.insert(wholes.end(), Whole{.head = head});
        const Motif& motif = motifs.motifs[shape];
        whole->left = std::min<double>(whole->left, motif.left);
        whole->right = std::max<double>(whole->right, motif.right);
        whole->top = std::min<double>(whole->top, motif.top);
        whole->bottom = std::max<double>(whole->bottom, motif.bottom);
    }
    put_in_order(wholes);
    return wholes;
}

std::vector<Plane> zones(const Plane& amount, int parts) {
    std::vector<Plane> out(static_cast<std::size_t>(parts), Plane(amount.rows(), amount.columns()));
    for (int row = 0; row < amount.rows(); ++row) {
        const auto zone = static_cast<std::size_t>(static_cast<long long>(row) * parts / amount.rows());
        for (int column = 0; column < amount.columns(); ++column) out[zone](row, column) = amount(row, column);
    }
    return out;
}

}  // namespace

SharedOut shared_out(const Plane& amount, const BlankRaster& raster, int parts) {
    require(parts >= 1, "shared out among some");
    if (parts == 1) return {SharedOut::By::zones, 0, {amount}};
    Paint paint;
    paint.raster = raster;
    paint.ground = Image(1, 1);
    paint.layers.push_back({"", amount, {}, 1});
    const Motifs motifs = motifs_of(paint);
    if (!motifs.separate()) return {SharedOut::By::zones, 0, zones(amount, parts)};
    const Nearest nearest = nearest_shapes(motifs.owner);
    Families families(motifs.motifs.size());
    join_near(families, nearest, raster, kOneMotif * motifs.size_mm);
    const std::vector<Whole> wholes = wholes_of(motifs, families);
    if (wholes.size() < static_cast<std::size_t>(parts)) return {SharedOut::By::zones, 0, zones(amount, parts)};
    std::vector<std::size_t> part_of(motifs.motifs.size());
    for (std::size_t shape = 0; shape < part_of.size(); ++shape) {
        const auto whole =
            std::find_if(wholes.begin(), wholes.end(), [&](const Whole& w) { return w.head == families.head(shape); });
        part_of[shape] = static_cast<std::size_t>(whole - wholes.begin()) % static_cast<std::size_t>(parts);
    }
    SharedOut out{SharedOut::By::motifs, static_cast<int>(wholes.size()),
                  std::vector<Plane>(static_cast<std::size_t>(parts), Plane(amount.rows(), amount.columns()))};
    for (int row = 0; row < amount.rows(); ++row)
        for (int column = 0; column < amount.columns(); ++column)
            out.parts[part_of[static_cast<std::size_t>(nearest.shape(row, column))]](row, column) = amount(row, column);
    return out;
}

}  // namespace loopread
