#include "loopread/overdye/ground.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/colour/kubelka_munk.h"

namespace loopread {
namespace {

constexpr double kPatchMm = 45;         // chosen: how far apart the coarsest patches lie
constexpr double kPatchesFall = 2;      // each finer layer of noise has half the size ...
constexpr double kPatchesWeaken = 0.5;  // ... and half the weight
constexpr int kPatchLayers = 3;

/// A place between hues: the index of the one before it and how far on.
struct Between {
    std::size_t hue = 0;
    double share = 0;
};
Between between(std::size_t hues, double place) {
    const double on = place * static_cast<double>(hues - 1);
    const auto hue = std::min(static_cast<std::size_t>(on), hues - 2);
    return {hue, on - static_cast<double>(hue)};
}

double eased(double t) {
    return t * t * (3 - 2 * t);
}

/// Values at the corners of a lattice, eased in between.
double smooth_noise(std::uint64_t seed, int layer, double x, double y) {
    const auto column = static_cast<std::int64_t>(std::floor(x)), row = static_cast<std::int64_t>(std::floor(y));
    const double right = eased(x - static_cast<double>(column)), down = eased(y - static_cast<double>(row));
    const auto corner = [&](std::int64_t dx, std::int64_t dy) {
        return hashed_unit(seed, column + dx, row + dy, layer);
    };
    return std::lerp(std::lerp(corner(0, 0), corner(1, 0), right), std::lerp(corner(0, 1), corner(1, 1), right), down);
}

/// The noise by rank: equal shares of the raster get equal stretches of [0, 1].
Plane mottle(const BlankRaster& raster, std::uint64_t seed) {
    Plane noise(raster.rows, raster.columns);
    for (int row = 0; row < raster.rows; ++row)
        for (int column = 0; column < raster.columns; ++column) {
            double size = kPatchMm, weight = 1;
            for (int layer = 0; layer < kPatchLayers; ++layer) {
                noise(row, column) += weight * smooth_noise(seed, layer, (column + 0.5) * raster.mm_per_column / size,
                                                            (row + 0.5) * raster.mm_per_row / size);
                size /= kPatchesFall;
                weight *= kPatchesWeaken;
            }
        }
    std::vector<double> sorted(noise.begin(), noise.end());
    std::sort(sorted.begin(), sorted.end());
    for (double& value : noise)
        value = (static_cast<double>(std::lower_bound(sorted.begin(), sorted.end(), value) - sorted.begin()) + 0.5) /
                static_cast<double>(sorted.size());
    return noise;
}

double mean(const Plane& plane) {
    return std::accumulate(plane.begin(), plane.end(), 0.0) / static_cast<double>(plane.size());
}

}  // namespace

Image faded_ground(std::span<const LinearRgb> hues, GroundAs as, const BlankRaster& raster) {
    require(hues.size() >= 2 && as != GroundAs::broken, "a fade goes from hue to hue");
    Image ground(raster.rows, raster.columns);
    for (int row = 0; row < raster.rows; ++row)
        for (int column = 0; column < raster.columns; ++column) {
            const double place = as == GroundAs::along ? (row + 0.5) / raster.rows : (column + 0.5) / raster.columns;
            const auto [hue, share] = between(hues.size(), place);
            ground(row, column) = mixed(hues[hue], hues[hue + 1], share);
        }
    return ground;
}

Image broken_ground(std::span<const LinearRgb> hues, const BlankRaster& raster, std::uint64_t seed) {
    require(hues.size() >= 2, "a broken bath has more than one hue");
    const Plane places = mottle(raster, seed);
    Image ground(raster.rows, raster.columns);
    for (int row = 0; row < raster.rows; ++row)
        for (int column = 0; column < raster.columns; ++column) {
            const auto [hue, share] = between(hues.size(), places(row, column));
            ground(row, column) =
                linear_from_k_over_s(k_over_s(hues[hue]) * (1 - share) + k_over_s(hues[hue + 1]) * share);
        }
    return ground;
}

LinearRgb ground_under(const Image& ground, const Plane& amount) {
    if (ground.size() == 1) return ground(0, 0);
    require(ground.rows() == amount.rows() && ground.columns() == amount.columns(),
            "stencil and ground have one raster");
    LinearRgb sum, all;
    double weight = 0;
    auto dyed = amount.begin();
    for (const LinearRgb& colour : ground) {
        sum += colour * *dyed;
        all += colour;
        weight += *dyed++;
    }
    return weight > 0 ? sum * (1 / weight) : all * (1 / static_cast<double>(ground.size()));
}

KOverS washed_dye(const Paint& base_first, double strike) {
    require(strike >= 0 && strike <= 1, "a share lies in 0..1");
    KOverS washed;
    for (const DyeLayer& layer : base_first.layers) washed = washed + layer.dye * (mean(layer.amount) * (1 - strike));
    return washed;
}

Paint stencilled_first(Paint base_first, double strike) {
    const KOverS washed = washed_dye(base_first, strike);
    Paint paint = std::move(base_first);
    if (strike == 1) return paint;
    for (LinearRgb& colour : paint.ground) colour = linear_from_k_over_s(k_over_s(colour) + washed);
    for (DyeLayer& layer : paint.layers)
        for (double& amount : layer.amount) amount *= strike;
    return paint;
}

}  // namespace loopread
