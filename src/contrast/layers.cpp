#include "loopread/contrast/layers.h"

#include <algorithm>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kOfStrongest = 0.5;

}  // namespace

LayerContrast layer_contrast(const Paint& paint, std::size_t layer, double lost_under) {
    require(!paint.picture && layer < paint.layers.size(), "the design is in layers");
    const Plane& amount = paint.layers[layer].amount;
    const double strongest = *std::max_element(amount.begin(), amount.end());
    Paint bare = paint;
    bare.layers.erase(bare.layers.begin() + static_cast<std::ptrdiff_t>(layer));
    LayerContrast found;
    double count = 0;
    for (int row = 0; row < amount.rows(); ++row)
        for (int column = 0; column < amount.columns(); ++column) {
            if (!(amount(row, column) > 0) || amount(row, column) < kOfStrongest * strongest) continue;
            const double x = (column + 0.5) * paint.raster.mm_per_column, y = (row + 0.5) * paint.raster.mm_per_row;
            found.with += yarn_colour(paint, x, y, {.painted = 1, .other = 0});
            found.without += yarn_colour(bare, x, y, {.painted = 1, .other = 0});
            count += 1;
        }
    if (count > 0) {
        found.with = found.with * (1 / count);
        found.without = found.without * (1 / count);
    }
    found.apart = apart(lab_from_linear(found.with), lab_from_linear(found.without), lost_under);
    return found;
}

std::vector<LayerContrast> layer_contrasts(const Paint& paint, double lost_under) {
    require(!paint.picture, "the design is in layers");
    std::vector<LayerContrast> found;
    for (std::size_t layer = 0; layer < paint.layers.size(); ++layer)
        found.push_back(layer_contrast(paint, layer, lost_under));
    return found;
}

}  // namespace loopread
