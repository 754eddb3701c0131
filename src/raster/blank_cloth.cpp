#include "loopread/raster/blank_cloth.h"

#include <cmath>
#include <numbers>

#include "loopread/base/require.h"

namespace loopread {
namespace {

std::uint8_t angle_step(double angle) {
    const double turns = angle / (2 * std::numbers::pi);
    const int step = static_cast<int>(std::lround((turns - std::floor(turns)) * CellShares::kAngles));
    return static_cast<std::uint8_t>(step % CellShares::kAngles);
}

}  // namespace

Cloth blank_cloth(const BlankLayout& layout, const std::vector<ColourRun>& strands, const WindingOptions& options) {
    require(static_cast<int>(strands.size()) == layout.strands, "the strands are the blank's");
    const Winding winding(options, layout.strand_length());
    Cloth cloth(layout.rows, layout.columns(), layout.strands);
    const double loop = layout.loop_length.value;
    const std::vector<LoopPlace> order = ravel_order(layout);
    for (std::size_t i = 0; i < order.size(); ++i) {
        const LoopPlace& place = order[i];
        if (place.layer == Layer::hidden) continue;
        cloth.set_worked(place.course, place.column);
        const double mid_sinker = (static_cast<double>(i) + kArcShare / 2) * loop;
        cloth.angle(place.course, place.column) =
            angle_step(frame_angle(layout, place.travel, winding.angle(mid_sinker + loop / 2)));
        for (int s = 0; s < layout.strands; ++s) {
            LinearRgb* colour = cloth.loop(place.course, place.column, s);
            for (int p = 0; p < Cloth::kPlaces; ++p) {
                const int along = place.travel == Travel::right ? p : Cloth::kPlaces - 1 - p;
                const double from = mid_sinker + along * loop / Cloth::kPlaces;
                colour[p] = strands[static_cast<std::size_t>(s)].mean(from, from + loop / Cloth::kPlaces);
            }
        }
    }
    return cloth;
}

}  // namespace loopread
