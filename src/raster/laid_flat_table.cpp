#include "raster/laid_flat_table.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace loopread {
namespace {

// Chosen by eye.
constexpr double kTurnsAway = 0.30;                // x 1/2 at the outline: 15 % less light there
constexpr double kTurnsAwayOver = 0.5;             // cm
constexpr double kShadow = 0.30;                   // light that the shadow takes next to the garment, at most
constexpr double kShadowOver = 0.28;               // cm
constexpr double kShadowFalls = 0.13;              // cm to the right and down, away from the lamp
constexpr LinearRgb kGhostTint{0.83, 0.83, 0.84};  // of the paper's light
constexpr LinearRgb kGhostEdge{0.56, 0.57, 0.59};
constexpr double kGhostEdgeWide = 0.06;  // cm

/// A number for every few pixels, read softly in between.
class CoarsePlane {
public:
    CoarsePlane(const Plane& fine, int step)
        : step_(step), cells_((fine.rows() + step - 1) / step, (fine.columns() + step - 1) / step) {
        for (int y = 0; y < cells_.rows(); ++y)
            for (int x = 0; x < cells_.columns(); ++x) {
                double sum = 0;
                int count = 0;
                for (int j = y * step; j < std::min(fine.rows(), (y + 1) * step); ++j)
                    for (int i = x * step; i < std::min(fine.columns(), (x + 1) * step); ++i, ++count)
                        sum += fine(j, i);
                cells_(y, x) = sum / count;
            }
    }
    /// Three running means, close to a bell of this standard deviation (pixels); beyond the edges there is nothing.
    void blur(double pixels) {
        const int reach = std::max(1, static_cast<int>(std::lround(pixels / step_)));
        for (int pass = 0; pass < 3; ++pass) {
            for (int y = 0; y < cells_.rows(); ++y)
                run([&, y](int i) -> double& { return cells_(y, i); }, cells_.columns(), reach);
            for (int x = 0; x < cells_.columns(); ++x)
                run([&, x](int i) -> double& { return cells_(i, x); }, cells_.rows(), reach);
        }
    }
    double at(double y, double x) const {
        const double row = std::clamp((y + 0.5) / step_ - 0.5, 0.0, cells_.rows() - 1.0);
        const double column = std::clamp((x + 0.5) / step_ - 0.5, 0.0, cells_.columns() - 1.0);
        const int top = static_cast<int>(row);
        const int left = static_cast<int>(column);
        const int below = std::min(top + 1, cells_.rows() - 1);
        const int right = std::min(left + 1, cells_.columns() - 1);
        const double v = row - top;
        const double u = column - left;
        return (cells_(top, left) * (1 - u) + cells_(top, right) * u) * (1 - v) +
               (cells_(below, left) * (1 - u) + cells_(below, right) * u) * v;
    }

private:
    /// Running mean over 2 reach + 1 values of a row or column.
    template <class Value>
    void run(Value value, int count, int reach) {
        line_.clear();
        for (int i = 0; i < count; ++i) line_.push_back(value(i));
        const auto held = [&](int i) { return i < 0 || i >= count ? 0.0 : line_[static_cast<std::size_t>(i)]; };
        double sum = 0;
        for (int i = 0; i < reach; ++i) sum += held(i);
        for (int i = 0; i < count; ++i) {
            const int ahead = i + reach, behind = i - reach - 1;
            sum += held(ahead) - held(behind);
            value(i) = sum / (2 * reach + 1);
        }
    }

    int step_;
    Plane cells_;
    std::vector<double> line_;
};

/// What each pixel shows of knitting and of planned knitting, 0..1, and the mean light of the knitting.
struct Layers {
    Plane knitted, covered;
};

/// Pixels within the garment are covered in full: what their lines of sight missed are hairlines between stitches.
Layers layers(TableCloth& cloth) {
    const int rows = cloth.light.rows(), columns = cloth.light.columns();
    Layers out{Plane(rows, columns), Plane(rows, columns)};
    const auto sights = [&](int y, int x) {
        if (y < 0 || x < 0 || y >= rows || x >= columns) return 0;
        return cloth.knitted(y, x) + cloth.planned(y, x);
    };
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x) {
            const int hits = sights(y, x);
            if (hits == 0) continue;
            const bool within =
                2 * std::min({sights(y - 1, x), sights(y + 1, x), sights(y, x - 1), sights(y, x + 1)}) >= cloth.sights;
            out.covered(y, x) = within ? 1 : std::min(1.0, static_cast<double>(hits) / cloth.sights);
            out.knitted(y, x) = out.covered(y, x) * cloth.knitted(y, x) / hits;
            if (cloth.knitted(y, x) > 0) cloth.light(y, x) = cloth.light(y, x) * (1.0 / cloth.knitted(y, x));
        }
    return out;
}

/// Whether a pixel of the ghost lies at its edge: something other than the ghost is near.
bool ghost_edge(const Layers& layer, int y, int x, int reach) {
    const auto ghost = [&](int j, int i) {
        if (j < 0 || i < 0 || j >= layer.covered.rows() || i >= layer.covered.columns()) return 0.0;
        return layer.covered(j, i) - layer.knitted(j, i);
    };
    return std::min({ghost(y - reach, x), ghost(y + reach, x), ghost(y, x - reach), ghost(y, x + reach)}) < 0.5;
}

LinearRgb product(LinearRgb a, LinearRgb b) {
    return {a.r * b.r, a.g * b.g, a.b * b.b};
}

}  // namespace

Image on_table(TableCloth cloth, const TableLook& look) {
    const Layers layer = layers(cloth);
    const int step = std::max(1, static_cast<int>(look.pixels_per_cm / 10));
    CoarsePlane depth(layer.covered, step);
    depth.blur(kTurnsAwayOver * look.pixels_per_cm * 0.6);
    CoarsePlane shadow(layer.knitted, step);
    shadow.blur(kShadowOver * look.pixels_per_cm * 0.6);
    const double falls = kShadowFalls * look.pixels_per_cm;
    const int edge = std::max(1, static_cast<int>(std::lround(kGhostEdgeWide * look.pixels_per_cm)));
    Image out = std::move(cloth.light);
    for (int y = 0; y < out.rows(); ++y)
        for (int x = 0; x < out.columns(); ++x) {
            const double knitted = layer.knitted(y, x);
            const double ghost = layer.covered(y, x) - knitted;
            LinearRgb below;
            if (knitted < 1) {
                below = look.paper * (1 - kShadow * shadow.at(y - falls, x - falls));
                if (ghost > 0) {
                    const LinearRgb tint = ghost_edge(layer, y, x, edge) ? kGhostEdge : kGhostTint;
                    below = mixed(below, product(look.paper, tint), ghost / (1 - knitted));
                }
            }
            const double turned = 1 - kTurnsAway * (1 - std::clamp(depth.at(y, x), 0.5, 1.0));
            out(y, x) = mixed(below, out(y, x) * turned, knitted);
        }
    return out;
}

}  // namespace loopread
