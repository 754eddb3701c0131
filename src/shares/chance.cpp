#include "chance.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/random.h"

namespace loopread {

LoopLengths::LoopLengths(double yarn_mm, std::size_t knitter, const RiskOptions& options)
    : ratios_(static_cast<std::size_t>(yarn_mm / kStepMm) + 1) {
    constexpr std::uint64_t kPurpose = 1'000'000;  // knitters take the purposes from here on
    Random random(options.seed, kPurpose + knitter);
    const double mean = 1 + options.length_sd * random.normal();
    const double kept = std::exp(-kStepMm / options.drift_mm);
    const double fresh = std::sqrt(1 - kept * kept);
    double drift = random.normal();  // in its stationary distribution from the start
    for (double& ratio : ratios_) {
        ratio = std::clamp(mean + options.drift_sd * drift, 0.5, 1.5);
        drift = kept * drift + fresh * random.normal();
    }
}

std::vector<double> stitch_starts(double yarn_mm, double yarn_per_stitch_mm, const LoopLengths& lengths) {
    std::vector<double> starts;
    starts.reserve(static_cast<std::size_t>(1.2 * yarn_mm / yarn_per_stitch_mm) + 2);
    double start = 0;
    while (start <= yarn_mm) {
        starts.push_back(start);
        start += yarn_per_stitch_mm * lengths.ratio_at(start);
    }
    return starts;
}

}  // namespace loopread
