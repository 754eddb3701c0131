#pragma once

#include <functional>
#include <string>
#include <vector>

#include "loopread/lay/blank_to_knit.h"
#include "loopread/lay/nudge.h"

namespace loopread {

/// Another size of all that is painted: more than a nudge, for where none helps.
struct OtherSize {
    double scale = 1;
    std::string words;  ///< "drawn 35 % as large"
    double worst_risk = 1;
};

/// Knits nudged designs at every round length that customers knit, to find the least nudge that stays clear of pools.
/// A quick look at one ball by a few knitters rules out most.
class NudgeTrials {
public:
    /// @param paint  as it is put on, before it creeps
    /// @param crept  what creeping makes of a paint
    NudgeTrials(BlankToKnit blank, Paint paint, std::function<Paint(Paint)> crept, const RiskOptions& risk);

    bool done() const;
    /// Tries the next nudge; where none is clear, then the other sizes, one a step. Nothing once done.
    void step();

    const NudgeSearch& search() const { return search_.found(); }
    std::size_t nudges() const { return search_.nudges(); }                ///< there are to try
    const std::vector<OtherSize>& other_sizes() const { return others_; }  ///< tried so far

    const Motifs& motifs() const { return motifs_; }
    /// The paint so nudged, before it creeps.
    Paint nudged_paint(const Nudge& nudge) const { return nudged(paint_, motifs_, nudge); }
    /// The runs that are knitted of the blank so nudged.
    std::vector<ColourRun> runs(const Nudge& nudge) const;
    /// The largest risk of any ball at any round length; over `enough` it may be that of the quick look.
    double worst_risk(const Nudge& nudge, double enough) const;
    /// The stitch count at which a run pools most.
    int worst_count(const ColourRun& run) const;

private:
    BlankToKnit blank_;
    Paint paint_;
    std::function<Paint(Paint)> crept_;
    Motifs motifs_;
    KnitterSweep all_, first_;
    LeastNudge search_;
    std::vector<OtherSize> others_;
};

/// What was found, in a sentence or two. @param trials  done (require)
std::string found_in_words(const NudgeTrials& trials);

}  // namespace loopread
