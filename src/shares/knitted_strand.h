#pragma once

#include <span>
#include <vector>

#include "chance.h"
#include "loopread/shares/knitters.h"
#include "split.h"
#include "windows.h"

namespace loopread {

/// @throws contract for a plan or options out of range
void require_sensible(const SweepPlan& plan, const RiskOptions& options);

/// Every stitch exactly as planned, in exact colours.
std::vector<Lab> exact_stitches(const ColourRun& run, double yarn_mm);

/// A strand with no knitter's scatter, ready for any stitch count of its plan.
class PlannedStrand {
public:
    PlannedStrand(const ColourRun& run, const SweepPlan& plan);

    /// Without its risk. @param n  one of the plan's stitch counts
    SweepPoint point(int n) const;

private:
    SummedStretch strand_;
    double yarn_mm_ = 0;
    Worked worked_ = Worked::in_the_round;
};

/// Where each stitch of one knitter starts, of yarn enough for the longest strand.
std::vector<double> starts_of_knitter(std::size_t knitter, double longest_mm, const SweepPlan& plan,
                                      const RiskOptions& options);
/// Those of them that a strand is long enough for.
std::span<const double> stitches_within(std::span<const double> starts, double yarn_mm);

/// The fabric of one knitter, all stitches one after another, ready for any stitch count.
class KnittedStrand {
public:
    explicit KnittedStrand(Worked worked) : worked_(worked) {}

    /// @param counts  the stitch counts it will be asked about
    void assign(std::span<const Lab> stitches, Lab offset, std::span<const int> counts);
    void assign(std::span<const double> starts, const WindowColours& colours, std::span<const int> counts);
    bool pools(int n, const RiskOptions& options);

private:
    Terms terms(std::size_t n);

    Worked worked_;
    std::vector<Lab> stitches_;
    StitchSums sums_;
    LagTable lags_;
    std::vector<std::size_t> bounds_;
    RoundMeans means_;
    Rows rows_;
};

}  // namespace loopread
