#include "loopread/doubt/draws.h"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>

#include "loopread/base/random.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr std::uint64_t kPlanPurpose = 0x646f756274;  // any number no other use has
constexpr std::uint64_t kWindingPurpose = 0x646f756275;
constexpr std::size_t kGroups = 5;  // chosen: twenty of a hundred draws each; an answer that flips in the middle shows

std::vector<double> stratified(std::size_t count, Random& random) {
    std::vector<std::size_t> strata(count);
    std::iota(strata.begin(), strata.end(), 0);
    for (std::size_t i = count - 1; i > 0; --i) std::swap(strata[i], strata[random.bits() % (i + 1)]);
    std::vector<double> places(count);
    for (std::size_t i = 0; i < count; ++i)
        places[i] = (static_cast<double>(strata[i]) + random.uniform()) / static_cast<double>(count);
    return places;
}

double squares_about(const std::vector<double>& values, double mean) {
    double sum = 0;
    for (const double value : values) sum += (value - mean) * (value - mean);
    return sum;
}

double mean_of(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

/// Sums of squares of one number, all of it and between groups of draws.
struct Parted {
    double whole = 0, between = 0;
};

Parted parted(const std::vector<double>& in_order) {
    const double mean = mean_of(in_order);
    Parted out{squares_about(in_order, mean), 0};
    for (std::size_t g = 0; g < kGroups; ++g) {
        const auto from = in_order.begin() + static_cast<std::ptrdiff_t>(g * in_order.size() / kGroups);
        const auto end = in_order.begin() + static_cast<std::ptrdiff_t>((g + 1) * in_order.size() / kGroups);
        const std::vector<double> group(from, end);
        const double off = mean_of(group) - mean;
        out.between += static_cast<double>(group.size()) * off * off;
    }
    return out;
}

}  // namespace

std::vector<std::vector<double>> latin_hypercube(int count, int dimensions, std::uint64_t seed) {
    require(count > 0 && dimensions > 0, "a plan has points");
    Random random(seed, kPlanPurpose);
    std::vector<std::vector<double>> points(static_cast<std::size_t>(count));
    for (int d = 0; d < dimensions; ++d) {
        const std::vector<double> places = stratified(points.size(), random);
        for (std::size_t i = 0; i < points.size(); ++i) points[i].push_back(places[i]);
    }
    return points;
}

std::vector<Draw> draws_from(const Ranges& ranges, const WindingOptions& winding, Winds winds, int count) {
    const auto points = latin_hypercube(count, static_cast<int>(kUnmeasured), winding.seed);
    Random seeds(winding.seed, kWindingPurpose);
    std::vector<Draw> draws;
    for (const std::vector<double>& point : points) {
        const auto at = [&](Unmeasured what) { return ranges[what].at(point[static_cast<std::size_t>(what)]); };
        Draw draw{at(Unmeasured::wrap), at(Unmeasured::penetration), winding, at(Unmeasured::yarn)};
        const std::uint64_t seed = seeds.bits();
        if (winds == Winds::anew) draw.winding = {{at(Unmeasured::turn)}, {at(Unmeasured::wander)}, seed};
        draws.push_back(draw);
    }
    return draws;
}

double moved_share(const std::vector<double>& figure, const std::vector<std::vector<double>>& answer) {
    require(figure.size() == answer.size(), "an answer a draw");
    if (figure.size() < 2 * kGroups) return 0;
    std::vector<std::size_t> order(figure.size());
    std::iota(order.begin(), order.end(), 0);
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return figure[a] < figure[b]; });
    Parted sum;
    for (std::size_t i = 0; i < answer.front().size(); ++i) {
        std::vector<double> in_order;
        for (const std::size_t draw : order) in_order.push_back(answer[draw][i]);
        const Parted one = parted(in_order);
        sum.whole += one.whole;
        sum.between += one.between;
    }
    if (!(sum.whole > 0)) return 0;
    const auto groups = static_cast<double>(kGroups), count = static_cast<double>(figure.size());
    const double by_chance = (groups - 1) * (sum.whole - sum.between) / (count - groups);
    return std::max(0.0, (sum.between - by_chance) / sum.whole);
}

}  // namespace loopread
