#include "wound/layered.h"

#include <cmath>

#include "wound/smooth_noise.h"

namespace loopread::wound {

void Layers::lay(std::vector<LaidPoint>& points, const std::vector<std::size_t>& cells) {
    constexpr float kEvenMm = 5;  // chosen by eye
    const float level_now = mean();
    constexpr std::ptrdiff_t kBridge = 6;  // points to either side that carry a strand
    const auto count = static_cast<std::ptrdiff_t>(points.size());
    std::vector<float> carried(points.size());
    for (std::size_t i = 0; i < points.size(); ++i) {
        float top = -1e9F;
        for (std::size_t b = 1; b + 1 < kBeside; ++b) top = std::max(top, heights_[cells[i * kBeside + b]]);
        carried[i] = top + kThickness * diameter_ / 2;
    }
    std::vector<float> highest(points.size());
    for (std::ptrdiff_t i = 0; i < count; ++i) {
        float top = -1e9F;
        for (std::ptrdiff_t d = -kBridge; d <= kBridge; ++d) {
            const float slack = 0.045F * static_cast<float>(d * d) * diameter_;
            top = std::max(top,
                           carried[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(i + d, 0, count - 1))] - slack);
        }
        highest[static_cast<std::size_t>(i)] = top;
    }
    for (std::ptrdiff_t i = 0; i < count; ++i) {
        float sum = 0;
        for (std::ptrdiff_t d = -kBridge / 2; d <= kBridge / 2; ++d)
            sum += highest[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(i + d, 0, count - 1))];
        LaidPoint& point = points[static_cast<std::size_t>(i)];
        point.level = sum / static_cast<float>(kBridge + 1);
        // On a hill yarn is pulled tight and sinks in, in a hollow it lies loose: so bodies come out even.
        const float pressed = std::clamp(1 - (point.level - level_now) / kEvenMm, 0.15F, 1.8F);
        for (std::size_t b = 1; b + 1 < kBeside; ++b) {
            float& height = heights_[cells[static_cast<std::size_t>(i) * kBeside + b]];
            const float now = point.level + kThickness * diameter_ * (pressed - 0.5F);
            if (now <= height) continue;
            sum_ += static_cast<double>(now - height);
            height = now;
        }
    }
}

void add_loose_end(StrandPath& path, Vec from, Vec heading, const BallOptions& options, double wound_mm) {
    constexpr int kSteps = 420;
    const auto step = static_cast<float>(kLooseEndMm / kSteps);
    const auto seed = static_cast<std::uint32_t>(options.seed) + 900U;
    Vec p = from, d = unit(heading);
    for (int i = 0; i < kSteps; ++i) {
        const float u = static_cast<float>(i) / kSteps;
        // Sinks the slower the nearer the table is, and runs along it in a wave past the front of the body.
        const float above = p.z - path.radius_mm;
        const float turn = -0.6F - 2.9F * smooth_step(std::min(1.0F, 2.0F * u)) +
                           1.1F * smooth_step(std::max(0.0F, 2 * u - 1)) + 0.3F * smooth_noise(seed, 4 * u);
        const Vec wish{std::cos(turn), std::sin(turn), -1.6F * std::min(1.0F, above / 14)};
        d = unit(d + (wish - d) * 0.045F);
        p += d * step;
        p.z = std::max(p.z, path.radius_mm);
        path.points.push_back(
            {p.x, p.y, p.z, along_run(options, wound_mm + static_cast<double>((static_cast<float>(i) + 1) * step))});
    }
}

}  // namespace loopread::wound
