#include "sums.h"

namespace loopread {

void add_products(const double* left, const double* right, std::size_t count, Lanes& products) {
    Lanes sums = Lanes::Zero();
    for (std::size_t i = 0; i < count; ++i) sums += left[i] * Eigen::Map<const Lanes>(right + i);
    products += sums;
}

void StitchSums::assign(std::span<const Lab> stitches, Lab offset) {
    size_ = stitches.size();
    for (std::size_t c = 0; c < kChannels; ++c) {
        values_[c].assign(size_ + kLanes, 0);
        sums_[c].assign(size_ + 1 + kWidestLean, 0);
    }
    squares_.assign(size_ + 1, 0);
    std::array<double, kChannels> sum{};
    double square = 0;
    for (std::size_t i = 0; i < size_; ++i) {
        const std::array<double, kChannels> value{stitches[i].l - offset.l, stitches[i].a - offset.a,
                                                  stitches[i].b - offset.b};
        for (std::size_t c = 0; c < kChannels; ++c) {
            values_[c][i] = value[c];
            sum[c] += value[c];
            sums_[c][i + 1 + kWidestLean] = sum[c];
            square += value[c] * value[c];
        }
        squares_[i + 1] = square;
    }
}

void assign_round_means(RoundMeans& means, const StitchSums& stitches, std::span<const std::size_t> bounds) {
    means.rounds = bounds.size() - 1;
    means.squares = 0;
    for (std::vector<double>& padded : means.padded) padded.assign(means.rounds + 2 * RoundMeans::kFront, 0);
    for (std::size_t r = 0; r < means.rounds; ++r) {
        const double share = 1 / static_cast<double>(bounds[r + 1] - bounds[r]);
        for (std::size_t c = 0; c < kChannels; ++c) {
            const double sum = stitches.sums(c)[bounds[r + 1]] - stitches.sums(c)[bounds[r]];
            means.padded[c][r + RoundMeans::kFront] = sum * share;
            means.squares += sum * sum * share;
        }
    }
}

void assign_bounds(std::vector<std::size_t>& bounds, std::size_t stitches, std::size_t rounds) {
    bounds.resize(rounds + 1);
    for (std::size_t r = 0; r <= rounds; ++r) bounds[r] = r * stitches;
}

}  // namespace loopread
