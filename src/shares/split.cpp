#include "split.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "loopread/base/random.h"

namespace loopread {
namespace {

constexpr double kTiedLeans = 1e-9;            // correlations closer than this are equal
constexpr std::size_t kFadeRounds = 24;        // window of the smoothed round means
constexpr std::size_t kShuffledPairs = 64;     // chosen: an eighth of the scatter of one pair
constexpr std::uint64_t kShuffleSeed = 1;      // a fabric has one wiggle, whatever the seed of the knitters
constexpr std::uint64_t kShufflePurpose = 41;  // any number no other use has

struct BestLean {
    double correlation = 0;
    int lean = 0;
};

/// The most upright of the best; none over 0: 0, upright.
BestLean best_lean(const Lanes& products, const Lanes& below, const Lanes& above, double none) {
    BestLean best;
    for (int step = 0; step < static_cast<int>(kLeans); ++step) {
        const int lean = step % 2 == 1 ? (step + 1) / 2 : -step / 2;  // 0, 1, -1, 2, -2 ...
        const int lane = lean + kWidestLean;
        const double found = correlation(products[lane], below[lane], above[lane], none);
        if (found > best.correlation + kTiedLeans) best = {found, lean};
    }
    return best;
}

/// A row and the stretch it is in.
struct PlacedRow {
    const Rows* rows = nullptr;
    std::size_t row = 0;
};

/// Best correlations of neighbours in a list, added up.
double best_of_neighbours(std::span<const PlacedRow> placed, double none) {
    double sum = 0;
    for (std::size_t i = 0; i + 1 < placed.size(); ++i) {
        const RowPair pair = row_pair(*placed[i].rows, placed[i].row, *placed[i + 1].rows, placed[i + 1].row);
        sum += best_lean(pair.products, pair.below, pair.above, none).correlation;
    }
    return sum;
}

void shuffle(std::vector<PlacedRow>& placed, Random& random) {
    for (std::size_t i = placed.size() - 1; i > 0; --i) std::swap(placed[i], placed[random.bits() % (i + 1)]);
}

/// Mean best correlation of neighbouring rounds over that of rounds in any order.
double wandering_correlation(std::span<const Rows> stretches, double none) {
    std::vector<PlacedRow> all;
    double neighbours = 0;
    std::size_t pairs = 0;
    for (const Rows& rows : stretches) {
        const std::size_t first = all.size();
        for (std::size_t r = 0; r < rows.rows(); ++r) all.push_back({&rows, r});
        neighbours += best_of_neighbours(std::span(all).subspan(first), none);
        pairs += rows.rows() > 0 ? rows.rows() - 1 : 0;
    }
    if (pairs == 0) return 0;
    Random random(kShuffleSeed, kShufflePurpose);
    double shuffled = 0;
    std::size_t shuffled_pairs = 0;
    while (shuffled_pairs < kShuffledPairs) {
        shuffle(all, random);
        shuffled += best_of_neighbours(all, none);
        shuffled_pairs += all.size() - 1;
    }
    return neighbours / static_cast<double>(pairs) - shuffled / static_cast<double>(shuffled_pairs);
}

/// Sum over rounds of |smoothed mean - overall mean|^2. The window takes 23 rounds whole and the two at its ends half,
/// so that it has a middle; at the ends of the stretch it is cut short.
double smoothed_squares(const RoundMeans& means, const std::array<double, kChannels>& overall) {
    constexpr std::size_t kHalf = kFadeRounds / 2;
    double squares = 0;
    std::vector<double> sums(means.rounds + 1, 0);
    for (std::size_t c = 0; c < kChannels; ++c) {
        const double* mean = means.mean(c);
        for (std::size_t r = 0; r < means.rounds; ++r) sums[r + 1] = sums[r] + mean[r];
        for (std::size_t r = 0; r < means.rounds; ++r) {
            const std::size_t from = r >= kHalf ? r - kHalf : 0;
            const std::size_t end = std::min(means.rounds, r + kHalf + 1);
            double sum = sums[end] - sums[from];
            double weight = static_cast<double>(end - from);
            if (r >= kHalf) {
                sum -= mean[from] / 2;
                weight -= 0.5;
            }
            if (r + kHalf + 1 <= means.rounds) {
                sum -= mean[end - 1] / 2;
                weight -= 0.5;
            }
            const double off = sum / weight - overall[c];
            squares += off * off;
        }
    }
    return squares;
}

double share_of(double part, double whole) {
    return std::clamp(part / whole, 0.0, 1.0);
}

bool constant(const Terms& terms) {
    return terms.stitches == 0 ||
           !(std::sqrt(std::max(0.0, terms.total()) / static_cast<double>(terms.stitches)) >= kConstantRange);
}

}  // namespace

Shares split(const Terms& terms) {
    Shares shares;
    if (constant(terms)) return shares;
    const double total = terms.total();
    const double none = kNoVariance * total;
    shares.colour_range = std::sqrt(total / static_cast<double>(terms.stitches));
    shares.stripe = share_of(terms.between(), total);
    if (total - terms.between() < none) {
        shares.stripe = 1;
        return shares;
    }
    const double within = 1 - shares.stripe;
    const BestLean best = best_lean(terms.products, terms.below, terms.above, none);
    shares.pool = within * best.correlation;
    shares.lean = best.lean;
    const double along = correlation(terms.dash_product, terms.dash_before, terms.dash_after, none);
    shares.dash = (within - shares.pool) * std::max(0.0, along);
    shares.speckle = within - shares.pool - shares.dash;
    shares.pooled_contrast = shares.colour_range * std::sqrt(shares.pool);
    return shares;
}

Shares shares_of(std::span<const SummedStretch> stretches, int n, Worked worked) {
    const auto in_round = static_cast<std::size_t>(n);
    Terms terms;
    std::vector<RoundMeans> means(stretches.size());
    std::vector<Rows> rows(stretches.size());
    std::vector<std::size_t> bounds;
    for (std::size_t i = 0; i < stretches.size(); ++i) {
        const StitchSums& stitches = stretches[i].stitches;
        assign_bounds(bounds, in_round, stitches.size() / in_round);
        assign_round_means(means[i], stitches, bounds);
        rows[i].assign(stitches, means[i], in_round, worked);
        add_variance(terms, stitches, means[i], in_round);
        add_dashes(terms, stitches, means[i], in_round);
        if (worked == Worked::in_the_round)
            add_pairs_in_the_round(terms, stitches, means[i], in_round, stretches[i].lags);
        else
            add_pairs_back_and_forth(terms, rows[i]);
    }
    Shares shares = split(terms);
    if (constant(terms)) return shares;
    std::array<double, kChannels> overall{};
    for (std::size_t c = 0; c < kChannels; ++c) overall[c] = terms.sum[c] / static_cast<double>(terms.stitches);
    double smooth = 0;
    for (const RoundMeans& stretch : means) smooth += smoothed_squares(stretch, overall);
    shares.fade = std::min(shares.stripe, share_of(n * smooth, terms.total()));
    const double none = kNoVariance * terms.total() / static_cast<double>(terms.rounds);
    if (shares.stripe < 1) shares.wiggle = (1 - shares.stripe) * std::max(0.0, wandering_correlation(rows, none));
    return shares;
}

std::string why_no_shares(int stitches, std::size_t rounds) {
    if (stitches == 0) return "It has no plain rounds of one length to compare.";
    if (stitches < kFewestStitches)
        return "With under " + std::to_string(kFewestStitches) +
               " stitches in a round, pools and stripes cannot be told apart.";
    if (rounds < kFewestRounds)
        return "There are under " + std::to_string(kFewestRounds) +
               " whole plain rounds: too few to tell what they make.";
    return {};
}

}  // namespace loopread
