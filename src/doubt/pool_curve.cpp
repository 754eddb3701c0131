#include "doubt/pool_curve.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/fabric/fabric.h"
#include "shares/knitted_strand.h"

namespace loopread {
namespace {

constexpr int kDriftingKnitters = 1;  // chosen: with the neighbouring counts some ten tries a count; two tell a band
                                      // to 0.01 where one tells it to 0.015, against full sweeps of the drawn yarns
constexpr int kStepInRows = 2;        // back and forth each count costs a pass over the yarn
constexpr double kReach = 2.5;        // standard deviations of loop length that are looked at

std::vector<Lab> stitches_from(std::span<const double> starts, const ColourRun& run, double yarn_mm) {
    std::vector<Lab> stitches;
    stitches.reserve(starts.size());
    for (const double start : starts) stitches.push_back(lab_from_linear(stitch_colour(run, start, yarn_mm)));
    return stitches;
}

Lab mean_of(const std::vector<Lab>& stitches) {
    Lab mean;
    const auto count = static_cast<double>(stitches.size());
    for (const Lab& stitch : stitches) {
        mean.l += stitch.l / count;
        mean.a += stitch.a / count;
        mean.b += stitch.b / count;
    }
    return mean;
}

}  // namespace

PoolCurve::PoolCurve(const RiskInUse& risk, const DoubtedKnitting& knitting, Millimetres longest, double least,
                     double most)
    : options_(risk.options), yarn_per_stitch_(knitting.yarn_per_stitch), worked_(knitting.worked) {
    require(least > 0 && least <= most, "stitch counts rise");
    const double reach = kReach * options_.length_sd;
    const int step = worked_ == Worked::in_the_round ? 1 : kStepInRows;
    const int last = static_cast<int>(std::ceil(most * (1 + reach))) + step;
    for (int n = std::max(1, static_cast<int>(least * (1 - reach))); n <= last; n += step) counts_.push_back(n);
    RiskOptions drifting = options_;
    drifting.length_sd = 0;
    const SweepPlan plan{counts_, yarn_per_stitch_.value, worked_};
    for (int knitter = 0; knitter < kDriftingKnitters; ++knitter)
        starts_.push_back(starts_of_knitter(static_cast<std::size_t>(knitter), longest.value, plan, drifting));
}

std::vector<double> PoolCurve::pooling(const ColourRun& run) const {
    std::vector<double> part(counts_.size(), 0);
    KnittedStrand knitted(worked_);
    for (const std::vector<double>& starts : starts_) {
        const std::vector<Lab> stitches =
            stitches_from(stitches_within(starts, run.length_mm()), run, yarn_per_stitch_.value);
        if (stitches.empty()) return std::vector<double>(counts_.size(), -1);
        knitted.assign(stitches, mean_of(stitches), counts_);
        for (std::size_t i = 0; i < counts_.size(); ++i) {
            const int n = counts_[i];
            const bool told = n >= kFewestStitches && stitches.size() / static_cast<std::size_t>(n) >= kFewestRounds;
            if (!told || part[i] < 0)
                part[i] = -1;
            else
                part[i] += knitted.pools(n, options_) ? 1.0 / kDriftingKnitters : 0;
        }
    }
    return part;
}

double PoolCurve::at(const std::vector<double>& pooling, double count) const {
    require(pooling.size() == counts_.size() && count > 0, "a part for each count");
    const double step = counts_.size() > 1 ? counts_[1] - counts_[0] : 1;
    // Never narrower than the steps between counts, so that there is one to look at.
    const double sd = std::max(options_.length_sd * count, step / kReach);
    double sum = 0, weights = 0;
    for (std::size_t i = 0; i < counts_.size(); ++i) {
        const double off = (counts_[i] - count) / sd;
        if (pooling[i] < 0 || std::abs(off) > kReach) continue;
        const double weight = std::exp(-off * off / 2);
        sum += weight * pooling[i];
        weights += weight;
    }
    return weights > 0 ? sum / weights : 0;
}

}  // namespace loopread
