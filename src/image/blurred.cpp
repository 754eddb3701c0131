#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr double kReach = 4;  ///< standard deviations; what lies beyond is 6e-5 of a Gaussian

/// Weights at 0, 1, .. reach to either side; the whole kernel adds to 1.
using HalfKernel = std::vector<double>;

HalfKernel gaussian_of_shape(double shape, int reach) {
    HalfKernel half(static_cast<std::size_t>(reach) + 1);
    double sum = 0;
    for (int k = 0; k <= reach; ++k) {
        const double weight = std::exp(-0.5 * k * k / (shape * shape));
        half[static_cast<std::size_t>(k)] = weight;
        sum += k == 0 ? weight : 2 * weight;
    }
    for (double& weight : half) weight /= sum;
    return half;
}

double variance(const HalfKernel& half) {
    double sum = 0;
    for (std::size_t k = 1; k < half.size(); ++k) sum += 2 * half[k] * static_cast<double>(k * k);
    return sum;
}

/// A Gaussian sampled at whole pixels and cut off has another standard deviation than its formula says (0.09 instead
/// of 0.3 pixels, say), so the formula's is sought that gives the kernel the one asked for.
HalfKernel gaussian(double sigma) {
    if (sigma == 0) return {1.0};
    const int reach = static_cast<int>(std::ceil(kReach * sigma));
    double low = 0, high = 2 * sigma + 1;
    while (variance(gaussian_of_shape(high, reach)) < sigma * sigma) high *= 2;
    for (int step = 0; step < 60; ++step) {
        const double middle = (low + high) / 2;
        (variance(gaussian_of_shape(middle, reach)) < sigma * sigma ? low : high) = middle;
    }
    return gaussian_of_shape(high, reach);
}

/// The sums of one line for a reach known to the compiler, so that they stay in registers.
/// `tap(k)` is the line moved by k.
template <int Reach, class T, class Tap>
void weighted_line(const HalfKernel& half, int size, T* out, const Tap& tap) {
    constexpr std::size_t kSide = Reach;
    const T* taps[2 * kSide + 1];
    double weights[kSide + 1];
    for (int k = -Reach; k <= Reach; ++k) taps[k + Reach] = tap(k);
    for (int k = 0; k <= Reach; ++k) weights[k] = half[static_cast<std::size_t>(k)];
    for (int i = 0; i < size; ++i) {
        T sum = taps[Reach][i] * weights[0];
        for (int k = 1; k <= Reach; ++k) sum += (taps[Reach - k][i] + taps[Reach + k][i]) * weights[k];
        out[i] = sum;
    }
}

template <class T, class Tap>
void weighted_line_of_any_reach(const HalfKernel& half, int size, T* out, const Tap& tap) {
    const T* middle = tap(0);
    for (int i = 0; i < size; ++i) out[i] = middle[i] * half[0];
    for (int k = 1; k < static_cast<int>(half.size()); ++k) {
        const T *before = tap(-k), *after = tap(k);
        const double weight = half[static_cast<std::size_t>(k)];
        for (int i = 0; i < size; ++i) out[i] += (before[i] + after[i]) * weight;
    }
}

/// A jump table over the small reaches: index = reach.
template <class T, class Tap, int... Reach>
bool weighted_line_of_small_reach(const HalfKernel& half, int size, T* out, const Tap& tap,
                                  std::integer_sequence<int, Reach...>) {
    const int reach = static_cast<int>(half.size()) - 1;
    return ((reach == Reach && (weighted_line<Reach>(half, size, out, tap), true)) || ...);
}

template <class T, class Tap>
void weighted(const HalfKernel& half, int size, T* out, const Tap& tap) {
    if (!weighted_line_of_small_reach(half, size, out, tap, std::make_integer_sequence<int, 9>()))
        weighted_line_of_any_reach(half, size, out, tap);
}

/// Row by row: down the columns into one line with its edges carried on, then along that line.
template <class T>
Grid<T> gaussian_means(const Grid<T>& image, double sigma_x, double sigma_y) {
    require(sigma_x >= 0 && sigma_y >= 0 && std::isfinite(sigma_x) && std::isfinite(sigma_y), "a blur is 0 or wider");
    if (image.empty() || (sigma_x == 0 && sigma_y == 0)) return image;
    const HalfKernel along = gaussian(sigma_x), down = gaussian(sigma_y);
    const int rows = image.rows(), columns = image.columns();
    const auto margin = static_cast<std::ptrdiff_t>(along.size()) - 1;
    Grid<T> means(rows, columns);
    std::vector<T> line(static_cast<std::size_t>(columns) + 2 * static_cast<std::size_t>(margin));
    T* const middle = line.data() + margin;
    for (int r = 0; r < rows; ++r) {
        weighted(down, columns, middle, [&](int k) { return image.row(std::clamp(r + k, 0, rows - 1)); });
        std::fill_n(line.begin(), margin, middle[0]);
        std::fill_n(line.end() - margin, margin, middle[columns - 1]);
        weighted(along, columns, means.row(r), [&](int k) { return static_cast<const T*>(middle + k); });
    }
    return means;
}

}  // namespace

Image blurred(const Image& image, double sigma_x, double sigma_y) {
    return gaussian_means(image, sigma_x, sigma_y);
}

Plane blurred(const Plane& plane, double sigma_x, double sigma_y) {
    return gaussian_means(plane, sigma_x, sigma_y);
}

}  // namespace loopread
