#include "sides/displacement.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "loopread/base/parallel.h"

namespace loopread {
namespace {

constexpr double kWorthHeeding = 0.35;  // correlation of a window; chosen: chance reaches 0.3 in windows of 20 x 20
constexpr double kDisagrees = 0.03;     // correlation lost at the fitted place that halves a window's weight; chosen
constexpr double kPullHome = 0.02;      // correlation lost by a whole pixel off: keeps what nothing holds; chosen
constexpr int kRefits = 4;

/// What one window says: near its best place correlation falls as a paraboloid.
struct WindowPeak {
    double x = 0, y = 0;        ///< of its middle, -1..1
    Eigen::Vector2d place;      ///< where it correlates best, pixels
    Eigen::Matrix2d steepness;  ///< loss of correlation per square pixel, doubled; flat along stripes
    double weight = 0;
};

/// Best whole step and the paraboloid through its neighbours.
std::optional<WindowPeak> peak_of(const ColourPlanes& fixed, const ColourPlanes& moving, const PlaneWindow& window,
                                  PlaneShift reach) {
    const auto value = [&](int x, int y) { return correlation(fixed, moving, window, {x, y}); };
    Plane values(2 * reach.y + 1, 2 * reach.x + 1);
    double best = -1;
    PlaneShift at;
    for (int y = -reach.y; y <= reach.y; ++y)
        for (int x = -reach.x; x <= reach.x; ++x) {
            values(y + reach.y, x + reach.x) = value(x, y);
            const double near = values(y + reach.y, x + reach.x) - 1e-4 * (x * x + y * y);  // of equals the nearest
            if (near > best) {
                best = near;
                at = {x, y};
            }
        }
    const auto near = [&](int dx, int dy) {
        const int x = at.x + dx, y = at.y + dy;
        const bool known = std::abs(x) <= reach.x && std::abs(y) <= reach.y;
        return known ? values(y + reach.y, x + reach.x) : value(x, y);
    };
    const double top = near(0, 0);
    if (top < kWorthHeeding) return std::nullopt;
    Eigen::Vector2d slope((near(1, 0) - near(-1, 0)) / 2, (near(0, 1) - near(0, -1)) / 2);
    Eigen::Matrix2d fall;
    fall(0, 0) = 2 * top - near(1, 0) - near(-1, 0);
    fall(1, 1) = 2 * top - near(0, 1) - near(0, -1);
    fall(0, 1) = fall(1, 0) = -(near(1, 1) - near(1, -1) - near(-1, 1) + near(-1, -1)) / 4;
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(fall);
    WindowPeak peak;
    peak.place = {at.x, at.y};
    peak.steepness.setZero();
    for (int axis = 0; axis < 2; ++axis) {
        const double steep = axes.eigenvalues()(axis);
        if (steep <= 1e-4) continue;  // nothing to hold it in this direction
        const Eigen::Vector2d way = axes.eigenvectors().col(axis);
        peak.place += way * std::clamp(way.dot(slope) / steep, -1.0, 1.0);
        peak.steepness += steep * way * way.transpose();
    }
    peak.weight = top * top;
    return peak;
}

std::vector<WindowPeak> peaks_of(const ColourPlanes& fixed, const ColourPlanes& moving, PlaneShift window,
                                 PlaneShift reach) {
    std::vector<PlaneWindow> windows;
    const auto steps = [](int length, int size) { return std::max(1, (2 * length + size - 1) / size - 1); };
    const int down = steps(fixed.rows(), window.y), right = steps(fixed.columns(), window.x);
    for (int j = 0; j < down; ++j)
        for (int i = 0; i < right; ++i)
            windows.push_back({down > 1 ? j * (fixed.rows() - window.y) / (down - 1) : 0,
                               right > 1 ? i * (fixed.columns() - window.x) / (right - 1) : 0, window.y, window.x});
    std::vector<std::optional<WindowPeak>> found(windows.size());
    in_parallel(windows.size(), thread_count(0), [&] {
        return [&](std::size_t i) {
            found[i] = peak_of(fixed, moving, windows[i], reach);
            if (!found[i]) return;
            found[i]->x = (2 * windows[i].left + window.x) / static_cast<double>(fixed.columns()) - 1;
            found[i]->y = (2 * windows[i].top + window.y) / static_cast<double>(fixed.rows()) - 1;
        };
    });
    std::vector<WindowPeak> peaks;
    for (const auto& peak : found)
        if (peak) peaks.push_back(*peak);
    return peaks;
}

/// Bends are pulled home harder than a step of the whole.
Eigen::Matrix<double, 2 * Displacement::kTerms, 1> pulls_home() {
    Eigen::Matrix<double, 2 * Displacement::kTerms, 1> pulls;
    for (int term = 0; term < Displacement::kTerms; ++term) {
        const int across = term % Displacement::kAcross, along = term / Displacement::kAcross;
        pulls(term) = pulls(term + Displacement::kTerms) = kPullHome * (1 + across * across + along * along);
    }
    return pulls;
}

/// One surface of steps through all peaks, those that disagree counting less from round to round.
Displacement surface_through(const std::vector<WindowPeak>& peaks) {
    constexpr int kTerms = Displacement::kTerms;
    using Matrix = Eigen::Matrix<double, 2 * kTerms, 2 * kTerms>;
    Displacement surface;
    if (peaks.empty()) return surface;
    std::vector<double> trust(peaks.size(), 1.0);
    for (int round = 0; round < kRefits; ++round) {
        Matrix normal = pulls_home().asDiagonal();
        Eigen::Matrix<double, 2 * kTerms, 1> right = Eigen::Matrix<double, 2 * kTerms, 1>::Zero();
        for (std::size_t i = 0; i < peaks.size(); ++i) {
            const Displacement::Terms terms = Displacement::terms(peaks[i].x, peaks[i].y);
            const Eigen::Matrix2d held = peaks[i].steepness * (peaks[i].weight * trust[i]);
            const Eigen::Vector2d pull = held * peaks[i].place;
            for (Eigen::Index a = 0; a < 2; ++a) {
                right.segment<kTerms>(a * kTerms) += pull(a) * terms;
                for (Eigen::Index b = 0; b < 2; ++b)
                    normal.block<kTerms, kTerms>(a * kTerms, b * kTerms) += held(a, b) * terms * terms.transpose();
            }
        }
        surface.of_terms = normal.ldlt().solve(right);
        for (std::size_t i = 0; i < peaks.size(); ++i) {
            const Displacement::Step step = surface.at(peaks[i].x, peaks[i].y);
            const Eigen::Vector2d miss = Eigen::Vector2d(step.x, step.y) - peaks[i].place;
            trust[i] = 1 / (1 + miss.dot(peaks[i].steepness * miss) / 2 / kDisagrees);
        }
    }
    return surface;
}

}  // namespace

Displacement::Terms Displacement::terms(double x, double y) {
    Terms out;
    // Chebyshev polynomials: of like size over the whole raster, so that one pull holds them all.
    const double across[kAcross] = {1, x, 2 * x * x - 1};
    const double along[kAlong] = {1, y, 2 * y * y - 1, y * (4 * y * y - 3), 8 * y * y * (y * y - 1) + 1};
    for (int j = 0; j < kAlong; ++j)
        for (int i = 0; i < kAcross; ++i) out(j * kAcross + i) = across[i] * along[j];
    return out;
}

Displacement::Step Displacement::at(double x, double y) const {
    const Terms t = terms(x, y);
    return {of_terms.head<kTerms>().dot(t), of_terms.tail<kTerms>().dot(t)};
}

Displacement found_displacement(const ColourPlanes& fixed, const ColourPlanes& moving, PlaneShift window,
                                PlaneShift reach) {
    window = {std::min(window.x, fixed.columns()), std::min(window.y, fixed.rows())};
    Displacement total = surface_through(peaks_of(fixed, moving, window, reach));
    constexpr int kNearer = 2;  // looks from where the surface puts each window, so that it need not be one whole step
    for (int look = 0; look < kNearer; ++look)
        total.of_terms += surface_through(peaks_of(fixed, displaced(moving, total), window, {2, 2})).of_terms;
    return total;
}

ColourPlanes displaced(const ColourPlanes& moving, const Displacement& displacement) {
    ColourPlanes out;
    for (Plane& plane : out.planes) plane = Plane(moving.rows(), moving.columns());
    for (int r = 0; r < moving.rows(); ++r)
        for (int c = 0; c < moving.columns(); ++c) {
            const Displacement::Step step =
                displacement.at(2 * (c + 0.5) / moving.columns() - 1, 2 * (r + 0.5) / moving.rows() - 1);
            for (std::size_t k = 0; k < 3; ++k)
                out.planes[k](r, c) = at(moving.planes[k], c + 0.5 + step.x, r + 0.5 + step.y);
        }
    return out;
}

}  // namespace loopread
