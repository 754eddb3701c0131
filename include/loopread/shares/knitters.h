#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/fabric/alternated.h"
#include "loopread/shape/rounds.h"
#include "loopread/shares/shares.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Simulated knitters and what counts as pooling. All of these numbers are chosen; no source.
struct RiskOptions {
    int knitters = 100;
    double length_sd = 0.05;    ///< of a knitter's mean loop length, as a part of the planned one
    double drift_sd = 0.02;     ///< of the drift about it
    double drift_mm = 1600;     ///< of yarn, in which the drift forgets itself to 1/e
    double pooling_from = 0.3;  ///< pool / (1 - stripe)
    double contrast_from = 5;   ///< pooled contrast, in CIELAB units
    std::uint64_t seed = 1;
    int threads = 0;  ///< 0: as many as the machine has; the result is the same for any number
};

/// The whole strand knitted as plain fabric at each of several stitch counts, every stitch taking the same yarn: what
/// decides is the yarn in one round.
struct SweepPlan {
    std::vector<int> stitches;       ///< each over 0, in any order
    double yarn_per_stitch_mm = 13;  ///< over 0
    Worked worked = Worked::in_the_round;
};

struct SweepPoint {
    int stitches = 0;
    double yarn_per_round_mm = 0;
    Shares shares = {};    ///< as planned, with no knitter's scatter
    double pool_risk = 0;  ///< share of the knitters whose fabric pools; 0 where no shares can be given
};

/// The simulated knitters of a plan, ready to knit any strand up to a length; the same for every strand.
class KnitterSweep {
public:
    /// @throws contract for a plan or options out of range (stitches and lengths over 0, deviations within 0..0.2)
    KnitterSweep(Millimetres longest, SweepPlan plan, RiskOptions options = {});
    ~KnitterSweep();
    KnitterSweep(KnitterSweep&&) noexcept;
    KnitterSweep& operator=(KnitterSweep&&) noexcept;

    /// One point for each stitch count of the plan, in its order. @throws contract for a longer run
    std::vector<SweepPoint> swept(const ColourRun& run) const;
    /// The same where two ends of yarn alternate: each knitter changes after so many rounds of her own.
    std::vector<SweepPoint> swept(const TwoEnds& ends) const;

private:
    class Simulation;
    std::unique_ptr<Simulation> simulation_;
};

/// A sweep of one strand, or of several: the same knitters knit them all.
std::vector<SweepPoint> swept(const ColourRun& run, const SweepPlan& plan, const RiskOptions& options = {});
std::vector<std::vector<SweepPoint>> swept(std::span<const ColourRun> runs, const SweepPlan& plan,
                                           const RiskOptions& options = {});

}  // namespace loopread
