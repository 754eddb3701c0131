#include "compare/edge_samples.h"

#include <algorithm>
#include <cmath>

namespace loopread {
namespace {

// Where the middles of legs lie in a stitch, its middle at (0, 0), y in rows towards where its V opens: x = 0.25 + 0.24
// y stitch widths to either side. Off the curve of [Crane 2023] at w/c = 1.31, l = sqrt(23.1 w c), within 0.02.
constexpr double kLegMiddle = 0.25, kLegLean = 0.24;
constexpr double kLegNear = 0.08;  // stitch widths from its middle: two thirds of the yarn's half width
constexpr double kLegEnds = 0.45;  // rows from the middle: beyond, legs of two rows lie over each other

/// On the middle of a leg.
bool on_leg(double stitches, double rows, bool v_opens_up) {
    const double x = stitches - std::floor(stitches) - 0.5, y = rows - std::floor(rows) - 0.5;
    const double up = v_opens_up ? -y : y;
    return std::abs(y) < kLegEnds && std::abs(std::abs(x) - kLegMiddle - kLegLean * up) < kLegNear;
}

}  // namespace

std::vector<EdgeSample> edge_samples(const DyedPicture& picture, const EdgePlace& place, double reach_mm,
                                     double half_length_mm) {
    const double w = picture.pixel_width_mm, h = picture.pixel_height_mm;
    const double box_x = std::abs(place.normal_x) * reach_mm + std::abs(place.normal_y) * half_length_mm;
    const double box_y = std::abs(place.normal_y) * reach_mm + std::abs(place.normal_x) * half_length_mm;
    const int left = static_cast<int>(std::floor((place.x_mm - box_x) / w));
    const int right = static_cast<int>(std::ceil((place.x_mm + box_x) / w));
    const int top = static_cast<int>(std::floor((place.y_mm - box_y) / h));
    const int bottom = static_cast<int>(std::ceil((place.y_mm + box_y) / h));
    std::vector<EdgeSample> samples;
    for (int r = std::max(0, top); r < std::min(bottom, picture.light.rows()); ++r)
        for (int c = std::max(0, left); c < std::min(right, picture.light.columns()); ++c) {
            const double x = (c + 0.5) * w, y = (r + 0.5) * h;
            const double dx = x - place.x_mm, dy = y - place.y_mm;
            const double across = dx * place.normal_x + dy * place.normal_y;
            const double along = dy * place.normal_x - dx * place.normal_y;
            if (std::abs(across) > reach_mm || std::abs(along) > half_length_mm) continue;
            if (picture.knitted() && !on_leg(x / picture.stitch_mm(), y / picture.row_mm(), picture.v_opens_up))
                continue;
            samples.push_back({across, along, picture.light(r, c)});
        }
    return samples;
}

}  // namespace loopread
