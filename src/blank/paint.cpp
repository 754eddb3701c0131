#include "loopread/blank/paint.h"

#include <algorithm>
#include <array>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kEdgePerSigma = 2.5631031310892007;  // 10-90 % width of a Gaussian edge

struct RasterPoint {
    double x, y;
};

LinearRgb ground_at(const Paint& paint, RasterPoint p) {
    return paint.ground.size() == 1 ? paint.ground(0, 0) : at(paint.ground, p.x, p.y);
}

/// Finished colours of one picture or two over the ground.
LinearRgb pictured_colour(const Paint& paint, RasterPoint p, double painted_share, double other_share) {
    const LinearRgb ground = ground_at(paint, p);
    const LinearRgb front = at(*paint.picture, p.x, p.y);
    if (!paint.other_side) {
        const double dyed = painted_share + paint.penetration * (1 - painted_share);
        return mixed(ground, front, dyed);
    }
    // What neither photo shows lies between the two sides.
    const LinearRgb back = at(*paint.other_side, p.x, p.y);
    const double over = std::max(1.0, painted_share + other_share);
    const double from_front = painted_share / over;
    const double from_back = other_share / over;
    const double unseen = 1 - from_front - from_back;
    return front * from_front + back * from_back + mixed(ground, mixed(front, back, 0.5), paint.penetration) * unseen;
}

/// Layers of dye inside each other: walk from the least exposed part of the surface, which only the deepest layers
/// reached, to the most exposed part, which has them all.
LinearRgb layered_colour(const Paint& paint, RasterPoint p, double exposed) {
    const LinearRgb ground = ground_at(paint, p);
    struct Reach {
        double dyed;
        KOverS dye;
    };
    constexpr std::size_t kMost = 64;
    require(paint.layers.size() <= kMost, "a design has at most 64 layers");
    std::array<Reach, kMost> reached;
    std::size_t count = 0;
    for (const DyeLayer& layer : paint.layers) {
        const double amount = at(layer.amount, p.x, p.y);
        if (amount > 0) reached[count++] = {exposed + layer.penetration * (1 - exposed), layer.dye * amount};
    }
    if (count == 0) return ground;
    std::sort(reached.begin(), reached.begin() + static_cast<std::ptrdiff_t>(count),
              [](const Reach& a, const Reach& b) { return a.dyed > b.dyed; });
    KOverS fibre = k_over_s(ground);
    LinearRgb colour = ground * (1 - reached[0].dyed);  // takes no second dye: passes unclamped
    for (std::size_t i = 0; i < count; ++i) {
        fibre = fibre + reached[i].dye;
        const double next = i + 1 < count ? reached[i + 1].dyed : 0.0;
        if (reached[i].dyed > next) colour += linear_from_k_over_s(fibre) * (reached[i].dyed - next);
    }
    return colour;
}

}  // namespace

RasterBlur creep_blur(Millimetres creep, const BlankRaster& raster) {
    const double sigma = creep.value / kEdgePerSigma;
    return {sigma / raster.mm_per_column, sigma / raster.mm_per_row};
}

LinearRgb yarn_colour(const Paint& paint, double x_mm, double y_mm, SeenShares seen) {
    const RasterPoint p{x_mm / paint.raster.mm_per_column, y_mm / paint.raster.mm_per_row};
    const double painted = std::min(1.0, seen.painted * (1 + paint.wrap));
    const double other = std::min(1.0, seen.other * (1 + paint.wrap));
    return paint.picture ? pictured_colour(paint, p, painted, other) : layered_colour(paint, p, painted);
}

}  // namespace loopread
