#include "loopread/contrast/remedy.h"

#include <algorithm>
#include <array>

#include "loopread/base/require.h"
#include "loopread/colour/kubelka_munk.h"

namespace loopread {
namespace {

constexpr std::array kChanges{DyeChange::stencil_darker, DyeChange::ground_half, DyeChange::both};

bool stronger(DyeChange change) {
    return change != DyeChange::ground_half;
}
bool paler(DyeChange change) {
    return change != DyeChange::stencil_darker;
}

LinearRgb half_dyed(LinearRgb ground, LinearRgb undyed) {
    return linear_from_k_over_s((k_over_s(ground) + k_over_s(undyed)) * 0.5);
}

KOverS no_less_than_none(KOverS dye) {
    return {std::max(0.0, dye.r), std::max(0.0, dye.g), std::max(0.0, dye.b)};
}

/// The two sides of a pair, along its border.
struct Sides {
    std::vector<PixelPlace> darker, lighter;
};
Sides sides_of(const std::vector<BorderPoint>& points, const NeighbourPair& pair) {
    Sides sides;
    for (const BorderPoint& point : points) {
        const bool first_darker = point.first == pair.darker && point.second == pair.lighter;
        const bool second_darker = point.second == pair.darker && point.first == pair.lighter;
        if ((!first_darker && !second_darker) || point.step == BorderPoint::Step::fade) continue;
        sides.darker.push_back(first_darker ? point.in_first : point.in_second);
        sides.lighter.push_back(first_darker ? point.in_second : point.in_first);
    }
    return sides;
}

LinearRgb mean_colour(const Paint& paint, const std::vector<PixelPlace>& places) {
    LinearRgb sum;
    for (const PixelPlace& p : places)
        sum += yarn_colour(paint, (p.column + 0.5) * paint.raster.mm_per_column,
                           (p.row + 0.5) * paint.raster.mm_per_row, {.painted = 1, .other = 0});
    return sum * (1 / static_cast<double>(places.size()));
}

double mean_amount(const Plane& amount, const std::vector<PixelPlace>& places) {
    double sum = 0;
    for (const PixelPlace& p : places) sum += amount(p.row, p.column);
    return sum / static_cast<double>(places.size());
}

/// The layer of which the darker side has most more, by the dye it brings.
std::optional<std::size_t> telling_layer(const Paint& paint, const Sides& sides) {
    std::optional<std::size_t> layer;
    double most = 0.001;  // of full strength; chosen: less is rounding
    for (std::size_t i = 0; i < paint.layers.size(); ++i) {
        const double more =
            mean_amount(paint.layers[i].amount, sides.darker) - mean_amount(paint.layers[i].amount, sides.lighter);
        if (more > most) {
            most = more;
            layer = i;
        }
    }
    return layer;
}

}  // namespace

std::vector<Remedy> remedies(const FlatPair& pair, double lost_under) {
    const KOverS dye = no_less_than_none(k_over_s(pair.darker) - k_over_s(pair.lighter));
    std::vector<Remedy> found;
    for (const DyeChange change : kChanges) {
        Remedy remedy{.change = change, .darker = {}, .lighter = {}, .apart = {}};
        remedy.lighter = paler(change) ? half_dyed(pair.lighter, pair.undyed) : pair.lighter;
        remedy.darker = linear_from_k_over_s(k_over_s(remedy.lighter) + dye * (stronger(change) ? kTwoSteps : 1.0));
        remedy.apart = apart(lab_from_linear(remedy.darker), lab_from_linear(remedy.lighter), lost_under);
        found.push_back(remedy);
    }
    return found;
}

Image recoloured(const Image& picture, const Patches& patches, const NeighbourPair& pair, const Remedy& remedy) {
    const KOverS darker = k_over_s(remedy.darker) - k_over_s(patches.colours[pair.darker].colour);
    const KOverS lighter = k_over_s(remedy.lighter) - k_over_s(patches.colours[pair.lighter].colour);
    Image other = picture;
    auto owner = patches.owner.begin();
    for (LinearRgb& colour : other) {
        const auto patch = static_cast<std::size_t>(*owner++);
        if (patch == pair.darker) colour = linear_from_k_over_s(k_over_s(colour) + darker);
        if (patch == pair.lighter) colour = linear_from_k_over_s(k_over_s(colour) + lighter);
    }
    return other;
}

Paint changed(const Paint& paint, DyeChange change, std::size_t layer, LinearRgb undyed) {
    Paint other = paint;
    if (stronger(change)) other.layers[layer].dye = other.layers[layer].dye * kTwoSteps;
    if (paler(change))
        for (LinearRgb& colour : other.ground) colour = half_dyed(colour, undyed);
    return other;
}

std::optional<LayeredRemedies> layered_remedies(const Paint& paint, LinearRgb undyed,
                                                const std::vector<BorderPoint>& points, const NeighbourPair& pair,
                                                double lost_under) {
    require(!paint.layers.empty() && !paint.picture, "the design is in layers");
    const Sides sides = sides_of(points, pair);
    if (sides.darker.empty()) return std::nullopt;
    const std::optional<std::size_t> layer = telling_layer(paint, sides);
    if (!layer) return std::nullopt;
    LayeredRemedies found;
    found.layer = *layer;
    found.darker = mean_colour(paint, sides.darker);
    found.lighter = mean_colour(paint, sides.lighter);
    found.now = apart(lab_from_linear(found.darker), lab_from_linear(found.lighter), lost_under);
    for (const DyeChange change : kChanges) {
        const Paint other = changed(paint, change, *layer, undyed);
        Remedy remedy{.change = change,
                      .darker = mean_colour(other, sides.darker),
                      .lighter = mean_colour(other, sides.lighter),
                      .apart = {}};
        remedy.apart = apart(lab_from_linear(remedy.darker), lab_from_linear(remedy.lighter), lost_under);
        found.remedies.push_back(remedy);
    }
    return found;
}

}  // namespace loopread
