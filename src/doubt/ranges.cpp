#include "loopread/doubt/ranges.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {

double Range::at(double p) const {
    require(low <= used && used <= high && p > 0 && p < 1, "a part of a range");
    if (!drawn()) return used;
    const double whole = high - low, below = used - low, above = high - used;
    if (p * whole < below) return low + std::sqrt(p * whole * below);
    return high - std::sqrt((1 - p) * whole * above);
}

Range range_about(double used, double low, double high) {
    return {std::min(low, used), used, std::max(high, used)};
}

Range stated_range(Unmeasured what, double used) {
    switch (what) {
        case Unmeasured::wrap:
            return range_about(used, kLeastWrap, kMostWrap);
        case Unmeasured::penetration:
            return range_about(used, kLeastPenetration, kMostPenetration);
        case Unmeasured::turn:
            return range_about(used, kLeastTurn * used, kMostTurn * used);
        case Unmeasured::wander:
            return range_about(used, kLeastWander * used, kMostWander * used);
        case Unmeasured::yarn:
            break;
    }
    require(false, "a figure with one stated range");
    return held(used);
}

Range yarn_without_gauge(double stitches_in_10_cm) {
    require(stitches_in_10_cm > 0, "a gauge has stitches");
    return range_about(1, stitches_in_10_cm / kMostStitchesIn10Cm * std::sqrt(kDryRelaxed / kFullyRelaxed),
                       stitches_in_10_cm / kFewestStitchesIn10Cm);
}

Range yarn_at_known_gauge() {
    return range_about(1, (1 - kOwnGauge) * std::sqrt(kDryRelaxed / kFullyRelaxed), 1 + kOwnGauge);
}

}  // namespace loopread
