#pragma once

#include "loopread/colour/kubelka_munk.h"

namespace loopread {

/// Dye of some strength on some ground, as light.
class DyeInLight {
public:
    DyeInLight(LinearRgb ground, LinearRgb motif);

    /// Of the way in light from ground to motif, the share that a share of the dye gives; both 0 to 1.
    double light_share(double dye_share) const;
    double dye_share(double light_share) const;
    LinearRgb light(double dye_share) const { return linear_from_k_over_s(ground_ + dye_ * dye_share); }

private:
    KOverS ground_, dye_;
    LinearRgb from_, way_;
};

}  // namespace loopread
