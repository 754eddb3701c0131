#include "loopread/raster/ribbon.h"

#include <cmath>

#include "loopread/base/require.h"

namespace loopread {

Image ribbon(const ColourRun& run, double from_mm, double to_mm, int width, int height) {
    require(from_mm < to_mm && width > 0 && height > 0, "a ribbon has a length and a size");
    Image image(height, width);
    std::vector<double> shade(static_cast<std::size_t>(height));
    double sum = 0;
    for (int row = 0; row < height; ++row) {
        const double across = 2 * (row + 0.5) / height - 1;
        sum += shade[static_cast<std::size_t>(row)] = 0.72 + 0.28 * std::sqrt(1 - across * across);
    }
    for (int column = 0; column < width; ++column) {
        const double from = from_mm + (to_mm - from_mm) * column / width;
        const double to = from_mm + (to_mm - from_mm) * (column + 1) / width;
        const LinearRgb colour = run.mean(from, to);
        for (int row = 0; row < height; ++row) image(row, column) = colour * (shade[static_cast<std::size_t>(row)] * height / sum);
    }
    return image;
}

}  // namespace loopread
