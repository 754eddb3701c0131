#include "loopread/lay/trials.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/shares/advice.h"
#include "loopread/shares/risk_sweep.h"
#include "loopread/shares/round_lengths.h"

namespace loopread {
namespace {

constexpr double kQuickLookMargin = 0.15;                          // chosen: by which a quick look may be wrong
constexpr std::array<double, 4> kOtherSizes{0.5, 0.35, 1.5, 2.0};  // chosen

RiskOptions fewer(RiskOptions risk) {
    risk.knitters = std::min(risk.knitters, kFirstKnitters);
    return risk;
}

double worst_of(const std::vector<SweepPoint>& points) {
    double worst = 0;
    for (const SweepPoint& point : points) worst = std::max(worst, point.pool_risk);
    return worst;
}

std::string size_in_words(double scale) {
    return scale < 1 ? "drawn " + number_text(100 * scale, 0) + " % as large"
                     : "drawn " + number_text(scale, 1) + " times as large";
}

/// Where small changes do not help: what greater ones would do.
std::string what_would_help(const std::vector<OtherSize>& others) {
    const OtherSize best = *std::min_element(others.begin(), others.end(), [](const OtherSize& a, const OtherSize& b) {
        return a.worst_risk < b.worst_risk;
    });
    if (best.worst_risk <= kClearRisk)
        return "What would: motifs " + best.words + " (" + knitters_of_hundred(best.worst_risk) + ").";
    const bool no_help = best.worst_risk >= 1;
    return "Nor does another size of motif" +
           (no_help ? std::string() : " (best " + best.words + ", " + knitters_of_hundred(best.worst_risk) + ")") +
           ": break the motifs up into scattered dabs under 1 cm, or lay the design another way.";
}

}  // namespace

NudgeTrials::NudgeTrials(BlankToKnit blank, Paint paint, std::function<Paint(Paint)> crept, const RiskOptions& risk)
    : blank_(std::move(blank)),
      paint_(std::move(paint)),
      crept_(std::move(crept)),
      motifs_(motifs_of(paint_)),
      all_(blank_.longest_run(), blank_.sweep_plan(usual_counts(blank_.yarn_per_stitch, blank_.stitches)), risk),
      first_(blank_.longest_run(), blank_.sweep_plan(usual_counts(blank_.yarn_per_stitch, blank_.stitches)),
             fewer(risk)),
      search_(nudges_to_try(motifs_), kClearRisk) {}

bool NudgeTrials::done() const {
    return search_.done() && (search().clear || others_.size() == kOtherSizes.size());
}

void NudgeTrials::step() {
    if (done()) return;
    if (!search_.done()) {
        search_.add(worst_risk(search_.next(), search_.enough()));
        return;
    }
    const double scale = kOtherSizes[others_.size()];
    others_.push_back({scale, size_in_words(scale), worst_risk({.scale = scale}, 1)});
}

std::vector<ColourRun> NudgeTrials::runs(const Nudge& nudge) const {
    return runs_to_knit(blank_, blank_.layout.painted, crept_(nudged_paint(nudge)));
}

double NudgeTrials::worst_risk(const Nudge& nudge, double enough) const {
    const std::vector<ColourRun> strands = runs(nudge);
    const double quick = worst_of(first_.swept(strands.front()));
    if (quick > enough + kQuickLookMargin) return quick;
    double worst = 0;
    for (const ColourRun& strand : strands) worst = std::max(worst, worst_of(all_.swept(strand)));
    return worst;
}

int NudgeTrials::worst_count(const ColourRun& run) const {
    const std::vector<SweepPoint> points = all_.swept(run);
    return std::max_element(points.begin(), points.end(),
                            [](const SweepPoint& a, const SweepPoint& b) {
                                return a.pool_risk != b.pool_risk ? a.pool_risk < b.pool_risk
                                                                  : a.shares.pool < b.shares.pool;
                            })
        ->stitches;
}

std::string found_in_words(const NudgeTrials& trials) {
    require(trials.done(), "all nudges were tried");
    const NudgeSearch& search = trials.search();
    const std::string range = " at any round of 75 to 100 cm";
    if (search.clear && search.nudge == Nudge{})
        return "The design needs no nudge: at worst it pools for " + knitters_of_hundred(search.risk_before) + range +
               ".";
    std::string changes;
    for (const std::string& change : nudge_in_words(search.nudge, trials.motifs())) changes += " " + change;
    if (search.clear)
        return "The least change that stays clear of pools" + range + ":" + changes + " At worst it then pools for " +
               knitters_of_hundred(search.worst_risk) + "; before, for " +
               std::to_string(std::lround(100 * search.risk_before)) + ".";
    return "No small change keeps it clear of pools" + range + " (before: " + knitters_of_hundred(search.risk_before) +
           "; best found: " + knitters_of_hundred(search.worst_risk) + ", by:" + changes + ") " +
           what_would_help(trials.other_sizes());
}

}  // namespace loopread
