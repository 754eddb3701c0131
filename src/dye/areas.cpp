#include "loopread/dye/areas.h"

#include <algorithm>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/unravel/loop_samples.h"
#include "loopread/unravel/order.h"

namespace loopread {
namespace {

/// Adds up, loop by loop, what lies under each layer and what of it is dyed.
class AreaSum {
public:
    AreaSum(const BlankLayout& layout, const Paint& paint, std::span<const double> strengths)
        : layout_(layout), paint_(paint), strengths_(strengths), areas_(paint.layers.size()) {
        for (std::size_t i = 0; i < areas_.size(); ++i) {
            areas_[i].name = paint.layers[i].name;
            areas_[i].strength = strengths[i];
            areas_[i].dyed_strand.assign(static_cast<std::size_t>(layout.strands), 0.0);
        }
    }

    /// @param exposed  part of the yarn's surface there that paint lies on
    /// @param weight   share of all yarn of this strand
    void add(double x_mm, double y_mm, std::size_t strand, double exposed, double weight) {
        for (std::size_t i = 0; i < areas_.size(); ++i) {
            if (!(strengths_[i] > 0)) continue;
            const DyeLayer& layer = paint_.layers[i];
            const double amount = at(layer.amount, x_mm / paint_.raster.mm_per_column, y_mm / paint_.raster.mm_per_row);
            const double coverage = std::clamp(amount / strengths_[i], 0.0, 1.0);
            areas_[i].covered += coverage * weight / layout_.strands;
            areas_[i].dyed_strand[strand] += coverage * (exposed + layer.penetration * (1 - exposed)) * weight;
        }
    }

    std::vector<AreaShare> areas() && {
        for (AreaShare& area : areas_)
            for (const double share : area.dyed_strand) area.dyed += share / layout_.strands;
        return std::move(areas_);
    }

private:
    const BlankLayout& layout_;
    const Paint& paint_;
    std::span<const double> strengths_;
    std::vector<AreaShare> areas_;
};

std::vector<WeightedColour> painted_colours(const Image& picture, const Grid<char>& painted) {
    constexpr int kStep = 3;  // a ninth of the pixels tells the palette, chosen: a stitch has 64 and more
    std::vector<WeightedColour> colours;
    for (int row = 0; row < picture.rows(); row += kStep)
        for (int column = 0; column < picture.columns(); column += kStep)
            if (painted(row, column) != 0) colours.push_back({picture(row, column), 1});
    return colours;
}

Grid<char> off_ground(const Paint& flat, double of_ground) {
    const Image& picture = *flat.picture;
    Grid<char> painted(picture.rows(), picture.columns(), 0);
    for (int row = 0; row < picture.rows(); ++row)
        for (int column = 0; column < picture.columns(); ++column) {
            const LinearRgb ground = flat.ground.size() == 1 ? flat.ground(0, 0) : flat.ground(row, column);
            painted(row, column) =
                delta_e_2000(lab_from_linear(picture(row, column)), lab_from_linear(ground)) > of_ground ? 1 : 0;
        }
    return painted;
}

}  // namespace

std::vector<AreaShare> painted_areas(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                                     const CellShares& shares, const WindingOptions& winding,
                                     std::span<const double> strengths) {
    require(strengths.size() == paint.layers.size(), "a strength for every layer");
    const LoopSamples samples = loop_samples(shape);
    const std::vector<LoopPlace> order = ravel_order(layout);
    const Winding wound(winding, layout.strand_length());
    const double wale_mm = layout.wale_spacing.value;
    AreaSum sum(layout, paint, strengths);
    for (std::size_t i = 0; i < order.size(); ++i) {
        const LoopPlace& loop = order[i];
        const double ahead = loop.travel == Travel::right ? wale_mm : -wale_mm;
        const double x = (loop.column + 0.5) * wale_mm;
        const double y = (loop.course + 0.5) * layout.course_spacing.value;
        for (std::size_t k = 0; k < samples.size(); ++k) {
            const LoopSample& sample = samples[k];
            const double along = (static_cast<double>(i) + sample.along) * layout.loop_length.value;
            const double angle = layout.strands == 1 ? 0.0 : wound.angle(along);
            const double weight = kPartShare[k / kSamplesPerPart] / kSamplesPerPart / static_cast<double>(order.size());
            for (int s = 0; s < layout.strands; ++s) {
                const SeenShares seen = seen_shares(layout, shares, SidesKnown::painted, loop, s, sample.place, angle);
                sum.add(x + ahead * sample.ahead, y - wale_mm * sample.raised, static_cast<std::size_t>(s),
                        std::min(1.0, seen.painted * (1 + paint.wrap)), weight);
            }
        }
    }
    return std::move(sum).areas();
}

ColourAreas colour_areas(const Paint& flat, int most, double of_ground, std::uint64_t seed) {
    require(flat.picture.has_value() && flat.layers.empty(), "one flat picture");
    ColourAreas out{flat, {}};
    out.paint.picture.reset();
    out.paint.other_side.reset();
    const Grid<char> painted = off_ground(flat, of_ground);
    const std::vector<WeightedColour> colours = painted_colours(*flat.picture, painted);
    if (colours.empty()) return out;
    out.colours = palette_of(colours, most, seed);
    for (const PaletteColour& colour : out.colours)
        out.paint.layers.push_back(
            {colour.words, Plane(painted.rows(), painted.columns(), 0.0), k_over_s(colour.colour), flat.penetration});
    for (int row = 0; row < painted.rows(); ++row)
        for (int column = 0; column < painted.columns(); ++column)
            if (painted(row, column) != 0)
                out.paint.layers[nearest_in(out.colours, (*flat.picture)(row, column))].amount(row, column) = 1;
    return out;
}

}  // namespace loopread
