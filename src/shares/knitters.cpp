#include "loopread/shares/knitters.h"

#include <algorithm>
#include <cmath>

#include "chance.h"
#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "loopread/fabric/fabric.h"
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
        assign(stitches_, colours.mean(), plan_.stitches);
    }

    /// @param counts  the stitch counts it will be asked about
    void assign(std::span<const Lab> stitches, Lab offset, std::span<const int> counts) {
        sums_.assign(stitches, offset);
        if (plan_.worked == Worked::in_the_round) lags_.assign(sums_, counts_with_shares(counts, stitches.size()));
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

/// Every stitch exactly as planned, in exact colours.
std::vector<Lab> exact_stitches(const ColourRun& run, double yarn_mm) {
    std::vector<Lab> stitches(static_cast<std::size_t>(run.length_mm() / yarn_mm + kFitMm));
    for (std::size_t i = 0; i < stitches.size(); ++i)
        stitches[i] = lab_from_linear(stitch_colour(run, static_cast<double>(i) * yarn_mm, yarn_mm));
    return stitches;
}

/// The points of a strand without their risk.
std::vector<SweepPoint> planned_points(const ColourRun& run, const SweepPlan& plan, std::size_t threads) {
    const double yarn_mm = plan.yarn_per_stitch_mm;
    const std::vector<Lab> stitches = exact_stitches(run, yarn_mm);
    Lab mean;
    for (const Lab& stitch : stitches) {
        mean.l += stitch.l / static_cast<double>(stitches.size());
        mean.a += stitch.a / static_cast<double>(stitches.size());
        mean.b += stitch.b / static_cast<double>(stitches.size());
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

/// One knitter's stitches from either end of yarn, not yet by turns.
struct StitchesOfEnds {
    std::vector<Lab> first, second;
};

/// Stitches before the other end is taken.
std::size_t block_of(int stitches, int every) {
    return static_cast<std::size_t>(stitches) * static_cast<std::size_t>(every);
}

/// Blocks of stitches by turns, until one end has no whole block left.
std::vector<Lab> by_turns(const StitchesOfEnds& ends, std::size_t block) {
    std::vector<Lab> stitches;
    stitches.reserve(ends.first.size() + ends.second.size());
    for (std::size_t turn = 0;; ++turn) {
        const std::vector<Lab>& from = turn % 2 == 0 ? ends.first : ends.second;
        const std::size_t at = turn / 2 * block;
        if (at + block > from.size()) return stitches;
        stitches.insert(stitches.end(), from.begin() + static_cast<std::ptrdiff_t>(at),
                        from.begin() + static_cast<std::ptrdiff_t>(at + block));
    }
}

std::vector<Lab> stitches_at(std::span<const double> starts, const WindowColours& colours) {
    std::vector<Lab> stitches(starts.size());
    for (std::size_t i = 0; i < starts.size(); ++i) stitches[i] = colours.at(starts[i]);
    return stitches;
}

SweepPoint planned_point(const StitchesOfEnds& ends, int n, int every, const SweepPlan& plan) {
    SweepPoint point{.stitches = n, .yarn_per_round_mm = n * plan.yarn_per_stitch_mm};
    std::vector<Lab> stitches = by_turns(ends, block_of(n, every));
    point.shares.why_none = why_no_shares(n, stitches.size() / static_cast<std::size_t>(n));
    if (!point.shares.why_none.empty()) return point;
    SummedStretch stretch;
    stretch.stitches.assign(stitches, stitches.front());
    const int counts[] = {n};
    if (plan.worked == Worked::in_the_round) stretch.lags.assign(stretch.stitches, counts);
    point.shares = shares_of({&stretch, 1}, n, plan.worked);
    return point;
}

/// @param pooled  knitters x points, 1 where it pools
void set_risks(std::vector<SweepPoint>& points, std::span<const unsigned char> pooled, const RiskOptions& options) {
    for (std::size_t i = 0; i < points.size(); ++i) {
        int pools = 0;
        for (std::size_t at = i; at < pooled.size(); at += points.size()) pools += pooled[at];
        if (points[i].shares.why_none.empty()) points[i].pool_risk = static_cast<double>(pools) / options.knitters;
    }
}

}  // namespace

class KnitterSweep::Simulation {
public:
    Simulation(Millimetres longest, SweepPlan plan, RiskOptions options)
        : plan_(std::move(plan)), options_(options), threads_(thread_count(options.threads)) {
        require_sensible(plan_, options_);
        longest_mm_ = longest.value;
        knitters_ = simulated_knitters(longest_mm_, plan_, options_);
    }

    std::vector<SweepPoint> swept(const ColourRun& run) const {
        require(run.length_mm() <= longest_mm_, "the knitters have yarn enough");
        std::vector<SweepPoint> points = planned_points(run, plan_, threads_);
        if (run.empty()) return points;
        with_colours_of(run, [&](const WindowColours& colours) {
            set_risks_of(points, [&] {
                return [&, strand = KnittedStrand(plan_)](std::size_t knitter, unsigned char* pooled) mutable {
                    strand.assign(stitches_within(knitters_[knitter], run.length_mm()), colours);
                    for (std::size_t i = 0; i < points.size(); ++i)
                        pooled[i] = strand.pools(points[i].stitches, options_) ? 1 : 0;
                };
            });
        });
        return points;
    }

    std::vector<SweepPoint> swept(const TwoEnds& ends) const {
        require(ends.every > 0, "ends alternate after some rounds");
        require(std::max(ends.first.length_mm(), ends.second.length_mm()) <= longest_mm_,
                "the knitters have yarn enough");
        const double yarn_mm = plan_.yarn_per_stitch_mm;
        const StitchesOfEnds exact{exact_stitches(ends.first, yarn_mm), exact_stitches(ends.second, yarn_mm)};
        std::vector<SweepPoint> points;
        for (const int n : plan_.stitches) points.push_back(planned_point(exact, n, ends.every, plan_));
        if (ends.first.empty() || ends.second.empty()) return points;
        const WindowColours first(ends.first, yarn_mm, threads_), second(ends.second, yarn_mm, threads_);
        set_risks_of(points, [&] {
            return [&, strand = KnittedStrand(plan_)](std::size_t knitter, unsigned char* pooled) mutable {
                const StitchesOfEnds own{
                    stitches_at(stitches_within(knitters_[knitter], ends.first.length_mm()), first),
                    stitches_at(stitches_within(knitters_[knitter], ends.second.length_mm()), second)};
                for (std::size_t i = 0; i < points.size(); ++i) {
                    const int n = points[i].stitches;
                    const int counts[] = {n};
                    strand.assign(by_turns(own, block_of(n, ends.every)), first.mean(), counts);
                    pooled[i] = strand.pools(n, options_) ? 1 : 0;
                }
            };
        });
        return points;
    }

private:
    template <class Use>
    void with_colours_of(const ColourRun& run, const Use& use) const {
        if (options_.knitters > 0 && !plan_.stitches.empty())
            use(WindowColours(run, plan_.yarn_per_stitch_mm, threads_));
    }

    /// Every knitter knits every point. @param make_knitting  makes knit(knitter, pooled): 1 for each point that pools
    template <class MakeKnitting>
    void set_risks_of(std::vector<SweepPoint>& points, const MakeKnitting& make_knitting) const {
        if (knitters_.empty() || points.empty()) return;
        std::vector<unsigned char> pooled(knitters_.size() * points.size(), 0);
        in_parallel(knitters_.size(), threads_, [&] {
            return [&, knit = make_knitting()](std::size_t knitter) mutable {
                knit(knitter, pooled.data() + knitter * points.size());
            };
        });
        set_risks(points, pooled, options_);
    }

    SweepPlan plan_;
    RiskOptions options_;
    std::size_t threads_;
    double longest_mm_ = 0;
    Knitters knitters_;
};

KnitterSweep::KnitterSweep(Millimetres longest, SweepPlan plan, RiskOptions options)
    : simulation_(std::make_unique<Simulation>(longest, std::move(plan), options)) {}
KnitterSweep::~KnitterSweep() = default;
KnitterSweep::KnitterSweep(KnitterSweep&&) noexcept = default;
KnitterSweep& KnitterSweep::operator=(KnitterSweep&&) noexcept = default;

std::vector<SweepPoint> KnitterSweep::swept(const ColourRun& run) const {
    return simulation_->swept(run);
}
std::vector<SweepPoint> KnitterSweep::swept(const TwoEnds& ends) const {
    return simulation_->swept(ends);
}

std::vector<std::vector<SweepPoint>> swept(std::span<const ColourRun> runs, const SweepPlan& plan,
                                           const RiskOptions& options) {
    double longest_mm = 0;
    for (const ColourRun& run : runs) longest_mm = std::max(longest_mm, run.length_mm());
    const KnitterSweep sweep({longest_mm}, plan, options);
    std::vector<std::vector<SweepPoint>> sweeps;
    sweeps.reserve(runs.size());
    for (const ColourRun& run : runs) sweeps.push_back(sweep.swept(run));
    return sweeps;
}

std::vector<SweepPoint> swept(const ColourRun& run, const SweepPlan& plan, const RiskOptions& options) {
    return swept(std::span(&run, 1), plan, options).front();
}

}  // namespace loopread
