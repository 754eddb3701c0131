#include "wound/strand_colours.h"

#include <algorithm>

namespace loopread::wound {

StrandColours::StrandColours(const ColourRun& run, double pixel_mm) {
    constexpr double kCreepMm = 2;
    const double half = std::max(kCreepMm, pixel_mm) / 2;
    const auto count = static_cast<std::size_t>(run.length_mm() / static_cast<double>(kStepMm)) + 2;
    table_.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        const double at = static_cast<double>(i) * static_cast<double>(kStepMm);
        const LinearRgb mean = run.mean(at - half, at + half);
        table_.push_back({static_cast<float>(mean.r), static_cast<float>(mean.g), static_cast<float>(mean.b)});
    }
    last_ = static_cast<float>(count - 2);
}

}  // namespace loopread::wound
