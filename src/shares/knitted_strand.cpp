#include "knitted_strand.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "loopread/base/require.h"
#include "loopread/fabric/fabric.h"

namespace loopread {
namespace {

constexpr double kFitMm = 1e-9;  // of a stitch: the yarn's end counts as reached

/// Of stitches that could be knitted, in rounds of n.
bool has_shares(std::size_t stitches, int n) {
    return n >= kFewestStitches && stitches / static_cast<std::size_t>(n) >= kFewestRounds;
}

/// The stitch counts that make whole rounds enough, for a lag table.
std::vector<int> counts_with_shares(std::span<const int> counts, std::size_t stitches) {
    std::vector<int> kept;
    std::copy_if(counts.begin(), counts.end(), std::back_inserter(kept),
                 [&](int n) { return has_shares(stitches, n); });
    return kept;
}

}  // namespace

void require_sensible(const SweepPlan& plan, const RiskOptions& options) {
    const auto deviation = [](double sd) { return sd >= 0 && sd <= 0.2; };
    require(plan.yarn_per_stitch_mm > 0 && std::isfinite(plan.yarn_per_stitch_mm), "a stitch takes some yarn");
    require(std::all_of(plan.stitches.begin(), plan.stitches.end(), [](int n) { return n > 0; }),
            "a round has stitches");
    require(options.knitters >= 0 && options.threads >= 0, "knitters and threads are counts");
    require(deviation(options.length_sd) && deviation(options.drift_sd), "loop lengths scatter by at most 20 %");
    require(options.drift_mm > 0, "drift has a length");
}

std::vector<Lab> exact_stitches(const ColourRun& run, double yarn_mm) {
    std::vector<Lab> stitches(static_cast<std::size_t>(run.length_mm() / yarn_mm + kFitMm));
    for (std::size_t i = 0; i < stitches.size(); ++i)
        stitches[i] = lab_from_linear(stitch_colour(run, static_cast<double>(i) * yarn_mm, yarn_mm));
    return stitches;
}

PlannedStrand::PlannedStrand(const ColourRun& run, const SweepPlan& plan)
    : yarn_mm_(plan.yarn_per_stitch_mm), worked_(plan.worked) {
    const std::vector<Lab> stitches = exact_stitches(run, yarn_mm_);
    Lab mean;
    for (const Lab& stitch : stitches) {
        mean.l += stitch.l / static_cast<double>(stitches.size());
        mean.a += stitch.a / static_cast<double>(stitches.size());
        mean.b += stitch.b / static_cast<double>(stitches.size());
    }
    strand_.stitches.assign(stitches, mean);
    if (worked_ == Worked::in_the_round)
        strand_.lags.assign(strand_.stitches, counts_with_shares(plan.stitches, stitches.size()));
}

SweepPoint PlannedStrand::point(int n) const {
    SweepPoint point{.stitches = n, .yarn_per_round_mm = n * yarn_mm_};
    point.shares.why_none = why_no_shares(n, strand_.stitches.size() / static_cast<std::size_t>(n));
    if (point.shares.why_none.empty()) point.shares = shares_of({&strand_, 1}, n, worked_);
    return point;
}

std::vector<double> starts_of_knitter(std::size_t knitter, double longest_mm, const SweepPlan& plan,
                                      const RiskOptions& options) {
    return stitch_starts(longest_mm, plan.yarn_per_stitch_mm, LoopLengths(longest_mm, knitter, options));
}

std::span<const double> stitches_within(std::span<const double> starts, double yarn_mm) {
    const auto after = std::upper_bound(starts.begin(), starts.end(), yarn_mm);
    return starts.first(static_cast<std::size_t>(after - starts.begin()) - 1);
}

void KnittedStrand::assign(std::span<const Lab> stitches, Lab offset, std::span<const int> counts) {
    sums_.assign(stitches, offset);
    if (worked_ == Worked::in_the_round) lags_.assign(sums_, counts_with_shares(counts, stitches.size()));
}

void KnittedStrand::assign(std::span<const double> starts, const WindowColours& colours, std::span<const int> counts) {
    stitches_.resize(starts.size());
    for (std::size_t i = 0; i < starts.size(); ++i) stitches_[i] = colours.at(starts[i]);
    assign(stitches_, colours.mean(), counts);
}

bool KnittedStrand::pools(int n, const RiskOptions& options) {
    if (!has_shares(sums_.size(), n)) return false;
    const Shares shares = split(terms(static_cast<std::size_t>(n)));
    return shares.stripe < 1 && shares.pool >= options.pooling_from * (1 - shares.stripe) &&
           shares.pooled_contrast >= options.contrast_from;
}

Terms KnittedStrand::terms(std::size_t n) {
    Terms terms;
    assign_bounds(bounds_, n, sums_.size() / n);
    assign_round_means(means_, sums_, bounds_);
    add_variance(terms, sums_, means_, n);
    if (worked_ == Worked::in_the_round) {
        add_pairs_in_the_round(terms, sums_, means_, n, lags_);
    } else {
        rows_.assign(sums_, means_, n, worked_);
        add_pairs_back_and_forth(terms, rows_);
    }
    return terms;
}

}  // namespace loopread
