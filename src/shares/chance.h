#pragma once

#include <cstddef>
#include <vector>

#include "loopread/shares/knitters.h"

namespace loopread {

/// Loop length over the planned one: a knitter's own mean, drifting about it as an Ornstein-Uhlenbeck walk along the
/// yarn. The walk is sampled every kStep of yarn by its exact discretisation and holds in between, so it belongs to the
/// yarn and is the same for any stitch count and any yarn per stitch.
class LoopLengths {
public:
    static constexpr double kStepMm = 20;  ///< chosen: an 80th of the usual correlation length, one stitch or two

    /// @param knitter  from 0; knitters are independent
    LoopLengths(double yarn_mm, std::size_t knitter, const RiskOptions& options);

    /// Held within 0.5 .. 1.5 of the plan, which no one in a million reaches.
    double ratio_at(double yarn_mm) const { return ratios_[static_cast<std::size_t>(yarn_mm / kStepMm)]; }

private:
    std::vector<double> ratios_;
};

/// Where on the yarn each stitch of a knitter starts, then where the last one ends: at or before the yarn's end.
std::vector<double> stitch_starts(double yarn_mm, double yarn_per_stitch_mm, const LoopLengths& lengths);

}  // namespace loopread
