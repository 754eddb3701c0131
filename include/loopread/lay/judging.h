#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "loopread/fabric/fabric.h"
#include "loopread/lay/blank_to_knit.h"
#include "loopread/lay/ways.h"
#include "loopread/shares/look.h"

namespace loopread {

/// What one way to lay a design comes to.
struct WayFindings {
    JudgedWay judged;
    /// Of each strand knitted: at every stitch count on the side that is asked for, on the other at the asked-for one.
    /// The other side of the same lay pools alike.
    std::vector<std::vector<SweepPoint>> strands;
    std::optional<double> worst_risk;  ///< over rounds of 75 to 100 cm, where every count was looked at
    FabricLook look;                   ///< of the first strand at the asked-for count
};

/// One side of a lay with its yarn and fabric, for as long as they are wanted.
struct KnittedWay {
    WayFindings findings;
    std::vector<ColourRun> runs;  ///< that were knitted
    Fabric fabric;                ///< plain, of the first of them at the asked-for count
};
struct KnittedLay {
    KnittedWay knit_side, purl_side;  ///< painted so
};

/// Knits up designs laid one way or another. Any number of threads may use one.
class LayJudge {
public:
    /// @param counts  the stitch counts to look at, the asked-for one among them (require)
    /// @param risk    one thread where several lays are judged at once
    LayJudge(BlankToKnit blank, std::vector<int> counts, RiskOptions risk);

    /// Both sides of one lay: turned and mirrored as the way is, whatever side it names.
    /// @param paint  laid so, and crept
    KnittedLay both_sides(const Way& way, const Paint& paint) const;

private:
    KnittedWay knitted_up(const Way& way, const Paint& paint) const;

    BlankToKnit blank_;
    KnitterSweep every_count_, asked_count_;
};

/// The eight lays, each with both sides, in the order of all_ways().
std::vector<Way> all_lays();

/// All ways, one lay a step, for places where other things have to go on meanwhile.
class WaysInTurn {
public:
    /// @param laid  the paint laid so and crept; it is the same whatever side the way names
    WaysInTurn(LayJudge judge, std::function<Paint(const Way&)> laid);

    bool done() const { return knit_side_.size() == lays_.size(); }
    double progress() const { return static_cast<double>(knit_side_.size()) / static_cast<double>(lays_.size()); }
    /// Both sides of the next lay; their yarn is not kept. @throws contract once done
    KnittedLay step();
    /// Of the lays so far, those on the knit side first.
    std::vector<WayFindings> findings() const;

private:
    LayJudge judge_;
    std::function<Paint(const Way&)> laid_;
    std::vector<Way> lays_;
    std::vector<WayFindings> knit_side_, purl_side_;
};

}  // namespace loopread
