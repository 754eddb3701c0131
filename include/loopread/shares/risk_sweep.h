#pragma once

#include <memory>
#include <vector>

#include "loopread/shares/advice.h"
#include "loopread/shares/knitters.h"

namespace loopread {

/// How many knitters tell roughly what the others will say. chosen.
inline constexpr int kFirstKnitters = 20;

/// A sweep of several strands in small steps, on the thread that takes them, for places where other things have to go
/// on meanwhile. It ends in the numbers that swept() gives at once, bit for bit.
class RiskSweep {
public:
    /// Works nothing out yet. @throws contract as KnitterSweep, and for no strands
    RiskSweep(std::vector<ColourRun> strands, SweepPlan plan, RiskOptions options = {});
    ~RiskSweep();
    RiskSweep(RiskSweep&&) noexcept;
    RiskSweep& operator=(RiskSweep&&) noexcept;

    bool done() const;
    double progress() const;  ///< 0 to 1, by steps
    /// First one stitch count as planned, count after count, on all strands; then one knitter after another, who knits
    /// all strands at every count. Nothing once done.
    void step();

    /// Who have knitted so far: the risks are shares of them.
    int knitters() const;
    /// A list a strand, of the stitch counts worked out so far, in the order of the plan.
    const std::vector<std::vector<SweepPoint>>& points() const;
    /// round_risks of them.
    std::vector<RoundRisk> risks() const;

private:
    class State;
    std::unique_ptr<State> state_;
};

}  // namespace loopread
