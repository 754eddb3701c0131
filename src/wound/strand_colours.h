#pragma once

#include <vector>

#include "loopread/yarn/run.h"
#include "wound/seen_strands.h"

namespace loopread::wound {

/// A run as a table of colours at equal steps, quick to look up.
///
/// Each is the mean in linear light over 2 mm or what a pixel covers, whichever is more: dye creeps some way along a
/// yarn, so that the quarter loops of a run have no sharp ends (chosen; it changes no share of any colour).
class StrandColours {
public:
    StrandColours(const ColourRun& run, double pixel_mm);

    Light at(float along_mm) const {
        const float place = along_mm * (1 / kStepMm);
        const float held = place < 0 ? 0 : place > last_ ? last_ : place;
        const auto i = static_cast<std::size_t>(held);
        const float t = held - static_cast<float>(i);
        const Light a = table_[i], b = table_[i + 1];
        return {a.r + (b.r - a.r) * t, a.g + (b.g - a.g) * t, a.b + (b.b - a.b) * t};
    }

private:
    static constexpr float kStepMm = 0.5F;
    std::vector<Light> table_;
    float last_ = 0;
};

}  // namespace loopread::wound
