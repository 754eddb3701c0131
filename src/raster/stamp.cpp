#include "raster/stamp.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/raster/cloth.h"

namespace loopread {
namespace {

constexpr double kPlyPitch = 0.42;  // wale spacings from ply to ply along the yarn

/// Light on the yarn: lamp, depth, and the twist of its plies.
double yarn_shade(const SeenYarn& seen, double toward_lamp, double toward_viewer_depth, double loop_length) {
    if (seen.outside > 0) {
        // A gap: a breath of fibre at its edge, deepening to shadow, never a hole.
        return 0.52 - std::min(0.22, seen.outside * 2.2);
    }
    const double lamp = std::max(0.0, toward_lamp);
    const double depth = std::clamp((toward_viewer_depth + 0.33) / 0.5, 0.0, 1.0);
    const double phase = seen.place * loop_length / kPlyPitch + 0.38 * std::asin(seen.across);
    const double groove = 0.5 + 0.5 * std::cos(2 * std::numbers::pi * phase);
    const double ply = 1 - 0.15 * groove * groove * (1 - 0.5 * seen.across * seen.across);
    return (0.52 + 0.58 * lamp) * (1 - 0.34 * depth) * ply;
}

}  // namespace

double relief_at(double pixels_per_stitch) {
    return std::clamp((pixels_per_stitch - 1) / 8, 0.15, 1.0);
}

StampSights::StampSights(const LoopCell& cell, Side side, int rows, int columns)
    : sights_(rows, columns), side_(side), loop_length_(cell.shape().length()) {
    const double c = cell.shape().course_spacing();
    const double toward = side == Side::face ? 1 : -1;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const double x = ((column + 0.5) / columns - 0.5) * toward;  // from behind, right and left change places
            const double y = (0.5 - (row + 0.5) / rows) * c;
            Sight& sight = sights_(row, column);
            sight.seen = cell.seen(side, x, y);
            const LoopVector normal = sight.seen.normal;
            sight.normal = {normal.x * toward, normal.y, normal.z * toward};
            sight.depth = toward * sight.seen.depth;
        }
}

Stamp StampSights::lit(LoopVector lamp, double relief) const {
    Stamp out(sights_.rows(), sights_.columns());
    const double toward = side_ == Side::face ? 1 : -1;
    double sum = 0;
    for (int row = 0; row < sights_.rows(); ++row)
        for (int column = 0; column < sights_.columns(); ++column) {
            const auto& [seen, normal, depth] = sights_(row, column);
            StampPoint& point = out(row, column);
            point.right = static_cast<std::int8_t>(seen.right * toward);
            point.up = static_cast<std::int8_t>(seen.up);
            point.strand = static_cast<std::uint8_t>(seen.strand);
            const double place = side_ == Side::face ? seen.place : 1 - seen.place;
            const double step = std::clamp(place * Cloth::kPlaces - 0.5, 0.0, Cloth::kPlaces - 1.001);
            point.place = static_cast<std::uint8_t>(step);
            point.toward_next = static_cast<float>(step - std::floor(step));
            point.shade = static_cast<float>(yarn_shade(seen, dot(normal, unit(lamp)), depth, loop_length_));
            sum += static_cast<double>(point.shade);
        }
    const auto mean = static_cast<float>(sum / static_cast<double>(out.size()));
    for (StampPoint& point : out) point.shade = 1 + static_cast<float>(relief) * (point.shade / mean - 1);
    return out;
}

}  // namespace loopread
