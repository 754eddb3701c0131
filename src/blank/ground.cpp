#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "loopread/base/require.h"
#include "loopread/blank/paint.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr int kTerms = 8;           // 1, y, y^2, y^3, x, x^2, xy, xy^2
constexpr double kBiweight = 0.12;  // OKLab; chosen: the tonal variation of a hand-dipped bath stays well inside it
constexpr int kRounds = 12;
constexpr int kBands = 16;

using Terms = Eigen::Matrix<double, kTerms, 1>;

Terms terms(double x, double y) {
    Terms t;
    t << 1, y, y * y, y * y * y, x, x * x, x * y, x * y * y;
    return t;
}

struct Spot {
    double x, y;
    Oklab colour;
};

double distance(Oklab a, Oklab b) {
    return std::sqrt((a.l - b.l) * (a.l - b.l) + (a.a - b.a) * (a.a - b.a) + (a.b - b.b) * (a.b - b.b));
}

/// The picture thinned out to at most a few thousand spots, x and y in [-1, 1].
std::vector<Spot> spots(const Image& picture) {
    const int columns = std::min(picture.columns(), 48);
    const int rows = std::min(picture.rows(), 160);
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    const Image small = resampled(picture, whole, rows, columns);
    std::vector<Spot> out;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column)
            out.push_back(
                {(2 * column + 1.0) / columns - 1, (2 * row + 1.0) / rows - 1, oklab_from_linear(small(row, column))});
    return out;
}

/// The colour with most others near it, among the spots of a band: the commonest one.
Oklab commonest(const std::vector<Spot>& band) {
    double best = -1;
    Oklab colour;
    for (const Spot& candidate : band) {
        double near = 0;
        for (const Spot& spot : band) near += distance(candidate.colour, spot.colour) < kBiweight / 2 ? 1 : 0;
        if (near > best) {
            best = near;
            colour = candidate.colour;
        }
    }
    return colour;
}

using Surface = Eigen::Matrix<double, kTerms, 3>;

Oklab value(const Surface& surface, double x, double y) {
    const Eigen::Vector3d lab = surface.transpose() * terms(x, y);
    return {lab[0], lab[1], lab[2]};
}

template <class WeightOf>
Surface fitted(const std::vector<Spot>& all, WeightOf weight_of) {
    Eigen::Matrix<double, kTerms, kTerms> normal = Eigen::Matrix<double, kTerms, kTerms>::Identity() * 1e-6;
    Surface right = Surface::Zero();
    for (const Spot& spot : all) {
        const double weight = weight_of(spot);
        if (weight <= 0) continue;
        const Terms t = terms(spot.x, spot.y);
        normal += weight * t * t.transpose();
        right += weight * t * Eigen::RowVector3d(spot.colour.l, spot.colour.a, spot.colour.b);
    }
    return normal.ldlt().solve(right);
}

Surface first_guess(const std::vector<Spot>& all) {
    std::array<std::vector<Spot>, kBands> bands;
    for (std::size_t i = 0; i < all.size(); i += 3) {
        const int band = std::min(kBands - 1, static_cast<int>((all[i].y + 1) / 2 * kBands));
        bands[static_cast<std::size_t>(band)].push_back(all[i]);
    }
    std::vector<Spot> common;
    for (int band = 0; band < kBands; ++band)
        if (!bands[static_cast<std::size_t>(band)].empty())
            common.push_back({0, (2 * band + 1.0) / kBands - 1, commonest(bands[static_cast<std::size_t>(band)])});
    return fitted(common, [](const Spot&) { return 1.0; });
}

}  // namespace

Image estimated_ground(const Image& picture) {
    require(!picture.empty(), "there is a picture");
    const std::vector<Spot> all = spots(picture);
    Surface surface = first_guess(all);
    for (int round = 0; round < kRounds; ++round)
        surface = fitted(all, [&](const Spot& spot) {
            const double miss = distance(spot.colour, value(surface, spot.x, spot.y)) / kBiweight;
            return miss >= 1 ? 0.0 : (1 - miss * miss) * (1 - miss * miss);
        });
    // The surface is smooth: a coarse grid of it, read between its points, is enough.
    Image ground(std::min(picture.rows(), 96), std::min(picture.columns(), 32));
    for (int row = 0; row < ground.rows(); ++row)
        for (int column = 0; column < ground.columns(); ++column) {
            LinearRgb c = linear_from_oklab(
                value(surface, (2 * column + 1.0) / ground.columns() - 1, (2 * row + 1.0) / ground.rows() - 1));
            ground(row, column) = {std::clamp(c.r, 0.0, 1.0), std::clamp(c.g, 0.0, 1.0), std::clamp(c.b, 0.0, 1.0)};
        }
    const PixelBox whole{0, 0, static_cast<double>(ground.columns()), static_cast<double>(ground.rows())};
    Image full(picture.rows(), picture.columns());
    for (int row = 0; row < full.rows(); ++row)
        for (int column = 0; column < full.columns(); ++column)
            full(row, column) =
                at(ground, (column + 0.5) / full.columns() * whole.right, (row + 0.5) / full.rows() * whole.bottom);
    return full;
}

}  // namespace loopread
