#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "loopread/image/sampling.h"

namespace loopread {
namespace {

/// What each pixel of a line gives to one box laid over it; the weights add to 1.
struct Share {
    int first = 0;
    std::vector<double> weights;
};

/// The part of [low, high) that lies on pixel i, where the two outermost pixels go on for ever.
double overlap(double low, double high, int i, int pixels) {
    const double from = i == 0 ? low : std::max(low, static_cast<double>(i));
    const double to = i == pixels - 1 ? high : std::min(high, static_cast<double>(i + 1));
    return std::max(0.0, to - from);
}

int pixel_under(double x, int pixels) {
    return static_cast<int>(std::clamp(std::floor(x), 0.0, static_cast<double>(pixels - 1)));
}

std::vector<Share> shares_along(double low, double high, int boxes, int pixels) {
    std::vector<Share> shares(static_cast<std::size_t>(boxes));
    const double step = (high - low) / boxes;
    for (int box = 0; box < boxes; ++box) {
        const double from = low + box * step, to = low + (box + 1) * step;
        Share& share = shares[static_cast<std::size_t>(box)];
        share.first = pixel_under(from, pixels);
        const int last = pixel_under(to, pixels);
        double sum = 0;
        for (int i = share.first; i <= last; ++i) sum += share.weights.emplace_back(overlap(from, to, i, pixels));
        require(sum > 0, "every box of the raster has an area");
        for (double& weight : share.weights) weight /= sum;
    }
    return shares;
}

template <class T>
void add_weighted(std::vector<T>& sums, const T* row, std::size_t first, std::size_t last, double weight) {
    for (std::size_t i = first; i < last; ++i) sums[i] += row[i] * weight;
}

/// Down the columns first: those sums run along memory, and each row of the image is read once a row of boxes.
template <class T>
Grid<T> box_means(const Grid<T>& image, const PixelBox& box, int rows, int columns) {
    require(!image.empty(), "there is an image to sample");
    require(rows > 0 && columns > 0, "the raster has cells");
    require(box.right > box.left && box.bottom > box.top, "the box has an area");
    const std::vector<Share> down = shares_along(box.top, box.bottom, rows, image.rows());
    const std::vector<Share> along = shares_along(box.left, box.right, columns, image.columns());
    const auto first = static_cast<std::size_t>(along.front().first);
    const std::size_t last = static_cast<std::size_t>(along.back().first) + along.back().weights.size();
    Grid<T> means(rows, columns);
    std::vector<T> line(static_cast<std::size_t>(image.columns()));
    for (int r = 0; r < rows; ++r) {
        std::fill(line.begin(), line.end(), T{});
        const Share& vertical = down[static_cast<std::size_t>(r)];
        for (std::size_t k = 0; k < vertical.weights.size(); ++k)
            add_weighted(line, image.row(vertical.first + static_cast<int>(k)), first, last, vertical.weights[k]);
        T* out = means.row(r);
        for (const Share& share : along) {
            T sum{};
            const T* in = line.data() + share.first;
            for (std::size_t k = 0; k < share.weights.size(); ++k) sum += in[k] * share.weights[k];
            *out++ = sum;
        }
    }
    return means;
}

template <class T>
T bilinear(const Grid<T>& image, double x, double y) {
    require(!image.empty(), "there is an image to sample");
    // In this order of arguments a value that is not a number becomes 0.
    const double across = std::min(std::max(0.0, x - 0.5), static_cast<double>(image.columns() - 1));
    const double down = std::min(std::max(0.0, y - 0.5), static_cast<double>(image.rows() - 1));
    const int left = static_cast<int>(across), top = static_cast<int>(down);
    const int right = std::min(left + 1, image.columns() - 1), bottom = std::min(top + 1, image.rows() - 1);
    const double u = across - left, v = down - top;
    return (image(top, left) * (1 - u) + image(top, right) * u) * (1 - v) +
           (image(bottom, left) * (1 - u) + image(bottom, right) * u) * v;
}

}  // namespace

Image resampled(const Image& image, const PixelBox& box, int rows, int columns) {
    return box_means(image, box, rows, columns);
}

Plane resampled(const Plane& plane, const PixelBox& box, int rows, int columns) {
    return box_means(plane, box, rows, columns);
}

LinearRgb at(const Image& image, double x, double y) {
    return bilinear(image, x, y);
}

double at(const Plane& plane, double x, double y) {
    return bilinear(plane, x, y);
}

}  // namespace loopread
