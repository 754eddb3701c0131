#include "loopread/fabric/fabric.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"

namespace loopread {
namespace {
// The legs, in shares of a stitch's yarn from mid sinker to mid sinker.
constexpr double kLeg1From = 0.145;
constexpr double kLeg1To = 0.355;
constexpr double kLeg2From = 0.645;
constexpr double kLeg2To = 0.855;
}  // namespace

LinearRgb stitch_colour(const ColourRun& run, double start_mm, double yarn_mm) {
    const LinearRgb legs =
        run.integral_to(start_mm + kLeg1To * yarn_mm) - run.integral_to(start_mm + kLeg1From * yarn_mm) +
        run.integral_to(start_mm + kLeg2To * yarn_mm) - run.integral_to(start_mm + kLeg2From * yarn_mm);
    return legs * (1 / ((kLeg1To - kLeg1From + kLeg2To - kLeg2From) * yarn_mm));
}

Fabric knitted(const ColourRun& run, const Garment& garment, Millimetres yarn_per_stitch) {
    require(yarn_per_stitch.value > 0, "a stitch takes some yarn");
    Fabric fabric;
    fabric.yarn_per_stitch = yarn_per_stitch;
    fabric.rounds_planned = garment.rounds.size();
    const auto affordable = static_cast<std::size_t>(run.length_mm() / yarn_per_stitch.value + 1e-9);
    std::size_t next = 0;
    for (const Round& round : garment.rounds) {
        if (next >= affordable) break;
        const std::size_t end = std::min(affordable, next + static_cast<std::size_t>(round.stitches));
        fabric.rounds.push_back({round, next, end});
        next = end;
    }
    fabric.stitches.reserve(next);
    for (std::size_t i = 0; i < next; ++i)
        fabric.stitches.push_back(
            stitch_colour(run, static_cast<double>(i) * yarn_per_stitch.value, yarn_per_stitch.value));
    fabric.yarn_used = yarn_per_stitch * static_cast<double>(next);
    fabric.yarn_left = {run.length_mm() - fabric.yarn_used.value};
    return fabric;
}

double stitch_difference(const ColourRun& a, const ColourRun& b, Millimetres yarn_per_stitch) {
    require(yarn_per_stitch.value > 0, "a stitch takes some yarn");
    const double yarn = yarn_per_stitch.value;
    const auto stitches = static_cast<int>(std::min(a.length_mm(), b.length_mm()) / yarn);
    double sum = 0;
    for (int i = 0; i < stitches; ++i)
        sum += delta_e_2000(lab_from_linear(stitch_colour(a, i * yarn, yarn)),
                            lab_from_linear(stitch_colour(b, i * yarn, yarn)));
    return stitches > 0 ? sum / stitches : 0;
}

Millimetres yarn_per_stitch(const Gauge& gauge) {
    require(gauge.stitches > 0 && gauge.rows > 0, "a gauge is over 0");
    return {std::sqrt(23.1 * gauge.stitch_width().value * gauge.row_height().value)};
}

}  // namespace loopread
