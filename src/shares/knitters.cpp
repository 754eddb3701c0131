#include "loopread/shares/knitters.h"

#include <algorithm>

#include "knitted_strand.h"
#include "loopread/base/parallel.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

using Knitters = std::vector<std::vector<double>>;  // each one's stitch starts

Knitters simulated_knitters(double yarn_mm, const SweepPlan& plan, const RiskOptions& options) {
    Knitters knitters(static_cast<std::size_t>(options.knitters));
    in_parallel(knitters.size(), thread_count(options.threads),
                [&] { return [&](std::size_t i) { knitters[i] = starts_of_knitter(i, yarn_mm, plan, options); }; });
    return knitters;
}

/// The points of a strand without their risk.
std::vector<SweepPoint> planned_points(const ColourRun& run, const SweepPlan& plan, std::size_t threads) {
    const PlannedStrand strand(run, plan);
    std::vector<SweepPoint> points(plan.stitches.size());
    in_parallel(points.size(), threads,
                [&] { return [&](std::size_t i) { points[i] = strand.point(plan.stitches[i]); }; });
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
                return [&, strand = KnittedStrand(plan_.worked)](std::size_t knitter, unsigned char* pooled) mutable {
                    strand.assign(stitches_within(knitters_[knitter], run.length_mm()), colours, plan_.stitches);
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
            return [&, strand = KnittedStrand(plan_.worked)](std::size_t knitter, unsigned char* pooled) mutable {
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
