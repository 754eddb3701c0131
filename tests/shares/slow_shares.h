#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/shares/shares.h"

namespace loopread {

/// The shares by the words of their definition, stitch by stitch, with none of the short cuts.
class SlowShares {
public:
    explicit SlowShares(const PlainRounds& plain) : n_(plain.stitches), worked_(plain.worked) {
        for (std::size_t i = 0; i < plain.stitch.size(); ++i) {
            const bool begins =
                std::find(plain.stretch_starts.begin(), plain.stretch_starts.end(), i) != plain.stretch_starts.end();
            if (begins) stretches_.emplace_back();
            if (i % static_cast<std::size_t>(n_) == 0) stretches_.back().emplace_back();
            stretches_.back().back().push_back({plain.stitch[i].l, plain.stitch[i].a, plain.stitch[i].b});
        }
        take_means();
    }

    Shares shares() const {
        Shares s;
        const double count = static_cast<double>(rounds_) * n_;
        s.colour_range = std::sqrt(total_ / count);
        if (s.colour_range < 1e-6) return {};
        s.stripe = between_ / total_;
        s.fade = std::min(s.stripe, smoothed() / total_);
        if (within_ < 1e-9 * total_) {
            s.stripe = 1;
            return s;
        }
        double best = 0;
        for (const int e : {0, 1, -1, 2, -2, 3, -3, 4, -4}) {
            const double rho = pooled(e);
            if (rho > best + 1e-9) {
                best = rho;
                s.lean = e;
            }
        }
        s.pool = (1 - s.stripe) * best;
        s.dash = (1 - s.stripe - s.pool) * std::max(0.0, along_yarn(4));
        s.speckle = 1 - s.stripe - s.pool - s.dash;
        s.pooled_contrast = s.colour_range * std::sqrt(s.pool);
        s.wiggle = (1 - s.stripe) * std::max(0.0, wandering());
        return s;
    }

private:
    using Colour = std::array<double, 3>;
    using Row = std::vector<Colour>;
    using Stretch = std::vector<Row>;

    static double dot(const Colour& p, const Colour& q) { return p[0] * q[0] + p[1] * q[1] + p[2] * q[2]; }
    static double distance2(const Colour& p, const Colour& q) {
        const Colour d{p[0] - q[0], p[1] - q[1], p[2] - q[2]};
        return dot(d, d);
    }
    static Colour mean(const Row& row) {
        Colour sum{};
        for (const Colour& c : row)
            for (std::size_t i = 0; i < 3; ++i) sum[i] += c[i];
        for (double& channel : sum) channel /= static_cast<double>(row.size());
        return sum;
    }

    void take_means() {
        Row all;
        for (const Stretch& stretch : stretches_)
            for (const Row& row : stretch) all.insert(all.end(), row.begin(), row.end());
        mean_ = mean(all);
        for (const Colour& c : all) total_ += distance2(c, mean_);
        for (const Stretch& stretch : stretches_) {
            means_.emplace_back();
            left_.emplace_back();
            for (const Row& row : stretch) {
                const Colour m = mean(row);
                means_.back().push_back(m);
                left_.back().push_back(row);
                for (Colour& c : left_.back().back())
                    for (std::size_t i = 0; i < 3; ++i) c[i] -= m[i];
                for (const Colour& c : row) within_ += distance2(c, m);
                between_ += n_ * distance2(m, mean_);
                ++rounds_;
            }
        }
    }

    /// Neighbours `lag` apart along the yarn of each stretch.
    double along_yarn(int lag) const {
        double product = 0, before = 0, after = 0;
        for (const Stretch& stretch : left_) {
            Row yarn;
            for (const Row& row : stretch) yarn.insert(yarn.end(), row.begin(), row.end());
            for (std::size_t k = 0; k + static_cast<std::size_t>(lag) < yarn.size(); ++k) {
                const Colour& p = yarn[k];
                const Colour& q = yarn[k + static_cast<std::size_t>(lag)];
                product += dot(p, q);
                before += dot(p, p);
                after += dot(q, q);
            }
        }
        return rho(product, before, after, 1e-9 * total_);
    }

    double pooled(int e) const {
        if (worked_ == Worked::in_the_round) return along_yarn(n_ + e);
        double product = 0, below = 0, above = 0;
        for (const Stretch& stretch : left_)
            for (std::size_t r = 0; r + 1 < stretch.size(); ++r)
                add_pair(in_columns(stretch, r), in_columns(stretch, r + 1), e, product, below, above);
        return rho(product, below, above, 1e-9 * total_);
    }

    Row in_columns(const Stretch& stretch, std::size_t r) const {
        Row row = stretch[r];
        if (worked_ == Worked::back_and_forth && r % 2 == 1) std::reverse(row.begin(), row.end());
        return row;
    }

    static void add_pair(const Row& lower, const Row& upper, int e, double& product, double& below, double& above) {
        for (int c = 0; c < static_cast<int>(lower.size()); ++c) {
            if (c + e < 0 || c + e >= static_cast<int>(upper.size())) continue;
            const Colour& p = lower[static_cast<std::size_t>(c)];
            const Colour& q = upper[static_cast<std::size_t>(c + e)];
            product += dot(p, q);
            below += dot(p, p);
            above += dot(q, q);
        }
    }

    static double rho(double product, double first, double second, double none) {
        return first <= none || second <= none ? 0 : product / std::sqrt(first * second);
    }

    double best_of_pair(const Row& lower, const Row& upper) const {
        double best = 0;
        for (int e = -4; e <= 4; ++e) {
            double product = 0, below = 0, above = 0;
            add_pair(lower, upper, e, product, below, above);
            best = std::max(best, rho(product, below, above, 1e-9 * total_ / static_cast<double>(rounds_)));
        }
        return best;
    }

    double wandering() const {
        std::vector<Row> all;
        double neighbours = 0;
        std::size_t pairs = 0;
        for (const Stretch& stretch : left_) {
            for (std::size_t r = 0; r < stretch.size(); ++r) {
                all.push_back(in_columns(stretch, r));
                if (r == 0) continue;
                neighbours += best_of_pair(all[all.size() - 2], all.back());
                ++pairs;
            }
        }
        if (pairs == 0) return 0;
        Random random(1, 41);  // the order of the shuffle is a convention, not a result
        double shuffled = 0;
        std::size_t shuffled_pairs = 0;
        while (shuffled_pairs < 64) {
            for (std::size_t i = all.size() - 1; i > 0; --i) std::swap(all[i], all[random.bits() % (i + 1)]);
            for (std::size_t i = 0; i + 1 < all.size(); ++i) shuffled += best_of_pair(all[i], all[i + 1]);
            shuffled_pairs += all.size() - 1;
        }
        return neighbours / static_cast<double>(pairs) - shuffled / static_cast<double>(shuffled_pairs);
    }

    /// Round means averaged over 24 rounds: 11 on either side whole, the twelfth half, itself.
    double smoothed() const {
        double squares = 0;
        for (const Row& means : means_) {
            const int rounds = static_cast<int>(means.size());
            for (int r = 0; r < rounds; ++r) {
                Colour sum{};
                double weights = 0;
                for (int other = std::max(0, r - 12); other <= std::min(rounds - 1, r + 12); ++other) {
                    const double weight = std::abs(other - r) == 12 ? 0.5 : 1;
                    weights += weight;
                    for (std::size_t i = 0; i < 3; ++i) sum[i] += weight * means[static_cast<std::size_t>(other)][i];
                }
                for (double& channel : sum) channel /= weights;
                squares += n_ * distance2(sum, mean_);
            }
        }
        return squares;
    }

    int n_;
    Worked worked_;
    std::vector<Stretch> stretches_, left_;
    std::vector<Row> means_;
    Colour mean_{};
    double total_ = 0, between_ = 0, within_ = 0;
    std::size_t rounds_ = 0;
};

inline Shares slow_shares(const PlainRounds& plain) {
    return SlowShares(plain).shares();
}

}  // namespace loopread
