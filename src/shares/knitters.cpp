#include "loopread/shares/knitters.h"

#include <algorithm>
#include <cmath>

#include "chance.h"
#include "loopread/base/require.h"
#include "loopread/fabric/fabric.h"
#include "parallel.h"
#include "split.h"
#include "windows.h"

namespace loopread {
namespace {

constexpr double kFitMm = 1e-9;  // of a stitch: the yarn's end counts as reached

void require_sensible(const SweepPlan& plan, const RiskOptions& options) {
    const auto deviation = [](double sd) { return sd >= 0 && sd <= 0.2; };
    require(plan.yarn_per_stitch_mm > 0 && std::isfinite(plan.yarn_per_stitch_mm), "a stitch takes some yarn");
    require(std::all_of(plan.stitches.begin(), plan.stitches.end(), [](int n) { return n > 0; }),
            "a round has stitches");
    require(options.knitters >= 0 && options.threads >= 0, "knitters and threads are counts");
    require(deviation(options.length_sd) && deviation(options.drift_sd), "loop lengths scatter by at most 20 %");
    require(options.drift_mm > 0, "drift has a length");
}

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

/// The fabric of one knitter, all stitches one after another, ready for any stitch count.
class KnittedStrand {
public:
    explicit KnittedStrand(const SweepPlan& plan) : plan_(plan) {}

    void assign(std::span<const double> starts, const WindowColours& colours) {
        stitches_.resize(starts.size());
        for (std::size_t i = 0; i < starts.size(); ++i) stitches_[i] = colours.at(starts[i]);
        sums_.assign(stitches_, colours.mean());
        if (plan_.worked == Worked::in_the_round)
            lags_.assign(sums_, counts_with_shares(plan_.stitches, stitches_.size()));
    }

    bool pools(int n, const RiskOptions& options) {
        if (!has_shares(sums_.size(), n)) return false;
        const Shares shares = split(terms(static_cast<std::size_t>(n)));
        return shares.stripe < 1 && shares.pool >= options.pooling_from * (1 - shares.stripe) &&
               shares.pooled_contrast >= options.contrast_from;
    }

private:
    Terms terms(std::size_t n) {
        Terms terms;
        assign_bounds(bounds_, n, sums_.size() / n);
        assign_round_means(means_, sums_, bounds_);
        add_variance(terms, sums_, means_, n);
        if (plan_.worked == Worked::in_the_round) {
            add_pairs_in_the_round(terms, sums_, means_, n, lags_);
        } else {
            rows_.assign(sums_, means_, n, plan_.worked);
            add_pairs_back_and_forth(terms, rows_);
        }
        return terms;
    }

    const SweepPlan& plan_;
    std::vector<Lab> stitches_;
    StitchSums sums_;
    LagTable lags_;
    std::vector<std::size_t> bounds_;
    RoundMeans means_;
    Rows rows_;
};

/// The stitches of a knitter that a strand is long enough for.
std::span<const double> stitches_within(std::span<const double> starts, double yarn_mm) {
    const auto after = std::upper_bound(starts.begin(), starts.end(), yarn_mm);
    return starts.first(static_cast<std::size_t>(after - starts.begin()) - 1);
}

using Knitters = std::vector<std::vector<double>>;  // each one's stitch starts

Knitters simulated_knitters(double yarn_mm, const SweepPlan& plan, const RiskOptions& options) {
    Knitters knitters(static_cast<std::size_t>(options.knitters));
    in_parallel(knitters.size(), thread_count(options.threads), [&] {
        return [&](std::size_t i) {
            knitters[i] = stitch_starts(yarn_mm, plan.yarn_per_stitch_mm, LoopLengths(yarn_mm, i, options));
        };
    });
    return knitters;
}

/// The points of a strand without their risk: every stitch exactly as planned, and exact colours.
std::vector<SweepPoint> planned_points(const ColourRun& run, const SweepPlan& plan, std::size_t threads) {
    const double yarn_mm = plan.yarn_per_stitch_mm;
    std::vector<Lab> stitches(static_cast<std::size_t>(run.length_mm() / yarn_mm + kFitMm));
    Lab mean;
    for (std::size_t i = 0; i < stitches.size(); ++i) {
        stitches[i] = lab_from_linear(stitch_colour(run, static_cast<double>(i) * yarn_mm, yarn_mm));
        mean.l += stitches[i].l / static_cast<double>(stitches.size());
        mean.a += stitches[i].a / static_cast<double>(stitches.size());
        mean.b += stitches[i].b / static_cast<double>(stitches.size());
    }
    SummedStretch strand;
    strand.stitches.assign(stitches, mean);
    if (plan.worked == Worked::in_the_round)
        strand.lags.assign(strand.stitches, counts_with_shares(plan.stitches, stitches.size()));
    std::vector<SweepPoint> points(plan.stitches.size());
    in_parallel(points.size(), threads, [&] {
        return [&](std::size_t i) {
            const int n = plan.stitches[i];
            points[i].stitches = n;
            points[i].yarn_per_round_mm = n * yarn_mm;
            points[i].shares.why_none = why_no_shares(n, stitches.size() / static_cast<std::size_t>(n));
            if (points[i].shares.why_none.empty()) points[i].shares = shares_of({&strand, 1}, n, plan.worked);
        };
    });
    return points;
}

void add_risk(std::vector<SweepPoint>& points, const ColourRun& run, const Knitters& knitters, const SweepPlan& plan,
              const RiskOptions& options) {
    if (knitters.empty() || points.empty()) return;
    const std::size_t threads = thread_count(options.threads);
    const WindowColours colours(run, plan.yarn_per_stitch_mm, threads);
    std::vector<unsigned char> pooled(knitters.size() * points.size(), 0);
    in_parallel(knitters.size(), threads, [&] {
        return [&, strand = KnittedStrand(plan)](std::size_t knitter) mutable {
            strand.assign(stitches_within(knitters[knitter], run.length_mm()), colours);
            for (std::size_t i = 0; i < points.size(); ++i)
                pooled[knitter * points.size() + i] = strand.pools(points[i].stitches, options) ? 1 : 0;
        };
    });
    for (std::size_t i = 0; i < points.size(); ++i) {
        int pools = 0;
        for (std::size_t knitter = 0; knitter < knitters.size(); ++knitter)
            pools += pooled[knitter * points.size() + i];
        if (points[i].shares.why_none.empty()) points[i].pool_risk = static_cast<double>(pools) / options.knitters;
    }
}

}  // namespace

std::vector<std::vector<SweepPoint>> swept(std::span<const ColourRun> runs, const SweepPlan& plan,
                                           const RiskOptions& options) {
    require_sensible(plan, options);
    double longest_mm = 0;
    for (const ColourRun& run : runs) longest_mm = std::max(longest_mm, run.length_mm());
    const Knitters knitters = simulated_knitters(longest_mm, plan, options);
    std::vector<std::vector<SweepPoint>> sweeps;
    sweeps.reserve(runs.size());
    for (const ColourRun& run : runs) {
        sweeps.push_back(planned_points(run, plan, thread_count(options.threads)));
        if (!run.empty()) add_risk(sweeps.back(), run, knitters, plan, options);
    }
    return sweeps;
}

std::vector<SweepPoint> swept(const ColourRun& run, const SweepPlan& plan, const RiskOptions& options) {
    return swept(std::span(&run, 1), plan, options).front();
}

}  // namespace loopread
