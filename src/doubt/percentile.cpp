#include "loopread/doubt/percentile.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "loopread/base/require.h"

namespace loopread {
namespace {

double percentile_of_sorted(const std::vector<double>& sorted, double p) {
    require(!sorted.empty() && p >= 0 && p <= 1, "a part of a sample");
    const double place = p * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    if (below + 1 >= sorted.size()) return sorted.back();
    const double share = place - static_cast<double>(below);
    return sorted[below] + share * (sorted[below + 1] - sorted[below]);
}

}  // namespace

double percentile(std::vector<double> sample, double p) {
    std::sort(sample.begin(), sample.end());
    return percentile_of_sorted(sample, p);
}

Band band_of(const std::vector<double>& sample) {
    std::vector<double> sorted = sample;
    std::sort(sorted.begin(), sorted.end());
    return {percentile_of_sorted(sorted, 0.05), percentile_of_sorted(sorted, 0.5), percentile_of_sorted(sorted, 0.95)};
}

}  // namespace loopread
