#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "image/bilinear.h"
#include "loopread/base/parallel.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr std::size_t kWorthSharing = 100'000;  // pixels; chosen: a thread takes as long to start as some thousands

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
    const std::size_t threads = image.size() < kWorthSharing ? 1 : thread_count(0);
    in_parallel(static_cast<std::size_t>(rows), threads, [&] {
        return [&, line = std::vector<T>(static_cast<std::size_t>(image.columns()))](std::size_t row) mutable {
            std::fill(line.begin(), line.end(), T{});
            const Share& vertical = down[row];
            for (std::size_t k = 0; k < vertical.weights.size(); ++k)
                add_weighted(line, image.row(vertical.first + static_cast<int>(k)), first, last, vertical.weights[k]);
            T* out = means.row(static_cast<int>(row));
            for (const Share& share : along) {
                T sum{};
                const T* in = line.data() + share.first;
                for (std::size_t k = 0; k < share.weights.size(); ++k) sum += in[k] * share.weights[k];
                *out++ = sum;
            }
        };
    });
    return means;
}

}  // namespace

Image resampled(const Image& image, const PixelBox& box, int rows, int columns) {
    return box_means(image, box, rows, columns);
}

Plane resampled(const Plane& plane, const PixelBox& box, int rows, int columns) {
    return box_means(plane, box, rows, columns);
}

LinearRgb at(const Image& image, double x, double y) {
    require(!image.empty(), "there is an image to sample");
    return bilinear(image, x, y);
}

double at(const Plane& plane, double x, double y) {
    require(!plane.empty(), "there is an image to sample");
    return bilinear(plane, x, y);
}

}  // namespace loopread
