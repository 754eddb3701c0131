#include "terms.h"

#include <algorithm>
#include <cmath>

namespace loopread {
namespace {

constexpr std::size_t kDashLag = 4;

double squared_mean_term(const std::array<double, kChannels>& sum, std::size_t count) {
    double squares = 0;
    for (const double s : sum) squares += s * s;
    return squares / static_cast<double>(count);
}

/// Sum of |G|^2 over stitches [from, to) that lie in one round.
double left_in_round(const StitchSums& stitches, const RoundMeans& means, std::size_t round, std::size_t from,
                     std::size_t to) {
    double squares = stitches.squares()[to] - stitches.squares()[from];
    const double count = static_cast<double>(to - from);
    for (std::size_t c = 0; c < kChannels; ++c) {
        const double mean = means.mean(c)[round];
        squares += mean * (count * mean - 2 * (stitches.sums(c)[to] - stitches.sums(c)[from]));
    }
    return squares;
}

/// Sum of |G|^2 over the first `count` stitches; fewer than two rounds.
double left_at_start(const StitchSums& stitches, const RoundMeans& means, std::size_t n, std::size_t count) {
    const double first = left_in_round(stitches, means, 0, 0, std::min(count, n));
    return count > n ? first + left_in_round(stitches, means, 1, n, count) : first;
}

double left_at_end(const StitchSums& stitches, const RoundMeans& means, std::size_t n, std::size_t count) {
    const std::size_t end = means.rounds * n;
    const double last = left_in_round(stitches, means, means.rounds - 1, end - std::min(count, n), end);
    return count > n ? last + left_in_round(stitches, means, means.rounds - 2, end - count, end - n) : last;
}

/// Sums over rounds of mean . mean, of the same round, the next, the next but one.
struct MeanProducts {
    double same = 0, next = 0, next_but_one = 0;
};

MeanProducts mean_products(const RoundMeans& means) {
    MeanProducts products;
    for (std::size_t c = 0; c < kChannels; ++c) {
        const double* mean = means.mean(c);  // zeros follow the last
        for (std::size_t r = 0; r < means.rounds; ++r) {
            products.same += mean[r] * mean[r];
            products.next += mean[r] * mean[r + 1];
            products.next_but_one += mean[r] * mean[r + 2];
        }
    }
    return products;
}

/// Sum over pairs of mean . F + F . mean, for each lean.
///
/// Summed by parts: the sum of F over a round moved by e is S[(r+1)n + e] - S[rn + e], so each boundary's S[bn + e] is
/// multiplied once, by the step between the means of two rounds: those before it for the first kind of product, those
/// about it for the second, which takes the opposite lean.
Lanes mean_cross_products(const StitchSums& stitches, const RoundMeans& means, std::size_t n) {
    const std::size_t rounds = means.rounds;
    Lanes mean_below = Lanes::Zero();
    Lanes mean_above = Lanes::Zero();
    for (std::size_t b = 0; b < rounds; ++b) {
        for (std::size_t c = 0; c < kChannels; ++c) {
            const double* mean = means.padded[c].data() + b;  // that of round b - 2
            const Eigen::Map<const Lanes> sums(stitches.sums(c) + b * n - kWidestLean);
            mean_below += (mean[0] - mean[1]) * sums;
            mean_above += (mean[2] - mean[3]) * sums;
        }
    }
    const std::size_t end = rounds * n;
    Lanes cross = Lanes::Zero();
    for (std::size_t lane = 0; lane < kLeans; ++lane) {
        const auto j = static_cast<int>(lane);
        cross[j] = mean_below[j] + mean_above[static_cast<int>(mirrored_lane(lane))];
        const auto beyond = static_cast<std::size_t>(std::max(0, -lean_of(lane)));  // a partner has to be in the fabric
        for (std::size_t c = 0; c < kChannels; ++c) {
            const double* mean = means.mean(c);
            const double* sums = stitches.sums(c);
            cross[j] += (mean[rounds - 2] - mean[rounds - 1]) * sums[end - beyond] + mean[rounds - 1] * sums[end];
        }
    }
    return cross;
}

/// What the table's products hold beyond the last whole round.
Lanes products_beyond(const StitchSums& stitches, std::size_t end, std::size_t n) {
    Lanes mirrored = Lanes::Zero();
    for (std::size_t c = 0; c < kChannels; ++c) {
        const double* values = stitches.values(c);
        add_products(values + end, values + end - n - kWidestLean, stitches.size() - end, mirrored);
    }
    Lanes beyond = Lanes::Zero();
    for (std::size_t lane = 0; lane < kLeans; ++lane)
        beyond[static_cast<int>(lane)] = mirrored[static_cast<int>(mirrored_lane(lane))];
    return beyond;
}

}  // namespace

double Terms::total() const {
    return squares - squared_mean_term(sum, stitches);
}

double Terms::between() const {
    return round_squares - squared_mean_term(sum, stitches);
}

Terms& Terms::operator+=(const Terms& other) {
    stitches += other.stitches;
    rounds += other.rounds;
    for (std::size_t c = 0; c < kChannels; ++c) sum[c] += other.sum[c];
    squares += other.squares;
    round_squares += other.round_squares;
    products += other.products;
    below += other.below;
    above += other.above;
    dash_product += other.dash_product;
    dash_before += other.dash_before;
    dash_after += other.dash_after;
    return *this;
}

void add_variance(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n) {
    const std::size_t end = means.rounds * n;
    terms.stitches += end;
    terms.rounds += means.rounds;
    for (std::size_t c = 0; c < kChannels; ++c) terms.sum[c] += stitches.sums(c)[end];
    terms.squares += stitches.squares()[end];
    terms.round_squares += means.squares;
}

void add_pairs_in_the_round(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n,
                            const LagTable& lags) {
    if (means.rounds < 2) return;
    const std::size_t end = means.rounds * n;
    const double within = stitches.squares()[end] - means.squares;
    const MeanProducts of_means = mean_products(means);
    const Lanes cross = mean_cross_products(stitches, means, n);
    const Lanes beyond = products_beyond(stitches, end, n);
    for (std::size_t lane = 0; lane < kLeans; ++lane) {
        const auto j = static_cast<int>(lane);
        const int lean = lean_of(lane);
        const std::size_t lag = n + lane - kWidestLean;
        const double overlap = static_cast<double>(n) - std::abs(lean);  // stitches whose partner is one round on
        const double of_rest = lean > 0 ? of_means.next_but_one : of_means.same;
        terms.products[j] +=
            lags.product(lag) - beyond[j] - cross[j] + overlap * of_means.next + std::abs(lean) * of_rest;
        terms.below[j] += within - left_at_end(stitches, means, n, lag);
        terms.above[j] += within - left_at_start(stitches, means, n, lag);
    }
}

void Rows::assign(const StitchSums& stitches, const RoundMeans& means, std::size_t n, Worked worked) {
    columns_ = n;
    stride_ = n + kLanes;
    for (std::size_t c = 0; c < kChannels; ++c) {
        values_[c].assign(means.rounds * stride_ + kLanes, 0);
        for (std::size_t r = 0; r < means.rounds; ++r) {
            double* const row = values_[c].data() + r * stride_ + kWidestLean;
            const double* const value = stitches.values(c) + r * n;
            const double mean = means.mean(c)[r];
            if (worked == Worked::back_and_forth && r % 2 == 1)
                for (std::size_t k = 0; k < n; ++k) row[n - 1 - k] = value[k] - mean;
            else
                for (std::size_t k = 0; k < n; ++k) row[k] = value[k] - mean;
        }
    }
    squares_.resize(means.rounds);
    for (std::size_t r = 0; r < means.rounds; ++r) squares_[r] = summed_squares(r);
}

RowSquares Rows::summed_squares(std::size_t r) const {
    const std::size_t n = columns_;
    Lanes middle = Lanes::Zero();  // of the columns that have a partner whatever the lean, in as many strands of sums
    std::array<double, kWidestLean> first{}, last{};  // by distance from the edge
    for (std::size_t c = 0; c < kChannels; ++c) {
        const double* const value = row(c, r);
        const std::size_t end = n - kWidestLean;
        std::size_t k = kWidestLean;
        for (; k + kLanes <= end; k += kLanes) middle += Eigen::Map<const Lanes>(value + k).square();
        for (std::size_t lane = 0; k < end; ++k, ++lane) middle[static_cast<int>(lane)] += value[k] * value[k];
        for (std::size_t i = 0; i < kWidestLean; ++i) {
            first[i] += value[i] * value[i];
            last[i] += value[n - 1 - i] * value[n - 1 - i];
        }
    }
    double inner = 0;
    for (const double part : middle) inner += part;
    RowSquares squares;
    for (std::size_t lane = 0; lane < kLeans; ++lane) {
        const int lean = lean_of(lane);
        double with_first = inner, with_last = inner;  // all but the outermost |lean| columns of the other edge
        for (std::size_t i = 0; i < kWidestLean; ++i) {
            const bool kept = i >= static_cast<std::size_t>(std::abs(lean));
            with_first += first[i] + (kept ? last[i] : 0);
            with_last += last[i] + (kept ? first[i] : 0);
        }
        squares.as_lower[static_cast<int>(lane)] = lean > 0 ? with_first : with_last;
        squares.as_upper[static_cast<int>(lane)] = lean > 0 ? with_last : with_first;
    }
    return squares;
}

RowPair row_pair(const Rows& lower_rows, std::size_t lower, const Rows& upper_rows, std::size_t upper) {
    RowPair pair{.below = lower_rows.squares(lower).as_lower, .above = upper_rows.squares(upper).as_upper};
    for (std::size_t c = 0; c < kChannels; ++c)
        add_products(lower_rows.row(c, lower), upper_rows.row(c, upper) - kWidestLean, lower_rows.columns(),
                     pair.products);
    return pair;
}

void add_pairs_back_and_forth(Terms& terms, const Rows& rows) {
    for (std::size_t r = 0; r + 1 < rows.rows(); ++r) {
        const RowPair pair = row_pair(rows, r, rows, r + 1);
        terms.products += pair.products;
        terms.below += pair.below;
        terms.above += pair.above;
    }
}

void add_dashes(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n) {
    const std::size_t end = means.rounds * n;
    if (n <= kDashLag) return;
    std::vector<double> left(end);
    for (std::size_t c = 0; c < kChannels; ++c) {
        for (std::size_t r = 0, k = 0; r < means.rounds; ++r)
            for (const double mean = means.mean(c)[r]; k < (r + 1) * n; ++k) left[k] = stitches.values(c)[k] - mean;
        for (std::size_t k = 0; k + kDashLag < end; ++k) terms.dash_product += left[k] * left[k + kDashLag];
    }
    const double within = stitches.squares()[end] - means.squares;
    terms.dash_before += within - left_at_end(stitches, means, n, kDashLag);
    terms.dash_after += within - left_at_start(stitches, means, n, kDashLag);
}

double correlation(double product, double first, double second, double none) {
    if (first <= none || second <= none) return 0;
    return std::clamp(product / std::sqrt(first * second), -1.0, 1.0);
}

}  // namespace loopread
