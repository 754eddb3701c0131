#include "wound/ground.h"

#include <algorithm>
#include <cmath>

#include "wound/smooth_noise.h"

namespace loopread::wound {
namespace {

/// smooth_noise_2d of places along a row: what neighbours have in common is looked up once.
class NoiseRow {
public:
    NoiseRow(std::uint32_t seed, float y) : seed_(seed), line_(whole_below(y)) {
        down_ = smooth_step(y - static_cast<float>(line_));
        step_to(0);
    }
    float at(float x) {
        const std::int32_t i = whole_below(x);
        if (i != step_) step_to(i);
        const float t = smooth_step(x - static_cast<float>(i));
        return (upper_[0] * (1 - t) + upper_[1] * t) * (1 - down_) + (lower_[0] * (1 - t) + lower_[1] * t) * down_;
    }

private:
    void step_to(std::int32_t i) {
        step_ = i;
        upper_ = {hashed(seed_, i, line_), hashed(seed_, i + 1, line_)};
        lower_ = {hashed(seed_, i, line_ + 1), hashed(seed_, i + 1, line_ + 1)};
    }
    std::uint32_t seed_;
    std::int32_t line_, step_ = 0;
    float down_ = 0;
    std::array<float, 2> upper_{}, lower_{};
};

/// Plain weave of slubby threads, quiet enough not to beat with pixels.
class LinenRow {
public:
    explicit LinenRow(float y_mm) : y_mm_(y_mm), bent_x_(21, y_mm / 22), bent_y_(22, y_mm / 3) {}

    float at(float x_mm) {
        constexpr float kThread = 1.25F;  // mm
        const float u = x_mm / kThread + 0.25F * bent_x_.at(x_mm / 3);
        const float v = y_mm_ / kThread + 0.25F * bent_y_.at(x_mm / 22);
        const std::int32_t i = whole_below(u), j = whole_below(v);
        const float a = u - static_cast<float>(i) - 0.5F, b = v - static_cast<float>(j) - 0.5F;
        const bool upright = ((i + j) & 1) == 0;  // which thread lies on top
        const float across = upright ? a : b, along = upright ? b : a;
        const float slub = upright ? smooth_noise(23, y_mm_ / 14, i) : smooth_noise(24, x_mm / 14, j);
        return 1 - 0.28F * across * across - 0.16F * along * along + 0.035F * slub;
    }

private:
    float y_mm_;
    NoiseRow bent_x_, bent_y_;
};

/// A split stone: slow clouds, fine grain.
class SlateRow {
public:
    explicit SlateRow(float y_mm) : clouds_(31, y_mm / 26), patches_(32, y_mm / 5), grain_(33, y_mm / 1.1F) {}

    float at(float x_mm) {
        return 1 + 0.10F * clouds_.at(x_mm / 34) + 0.07F * patches_.at(x_mm / 7) + 0.06F * grain_.at(x_mm / 1.3F);
    }

private:
    NoiseRow clouds_, patches_, grain_;
};

}  // namespace

GroundColour::GroundColour(const PaintOptions& options)
    : ground_(options.ground),
      mm_per_pixel_(static_cast<float>(1 / options.view.pixels_per_mm)),
      foreshortening_(static_cast<float>(1 / std::sin(options.view.elevation))) {
    constexpr LinearRgb kLinen{0.60, 0.525, 0.415}, kSlate{0.070, 0.076, 0.084};
    const LinearRgb c = ground_.kind == GroundKind::linen   ? kLinen
                        : ground_.kind == GroundKind::slate ? kSlate
                                                            : ground_.colour;
    plain_ = {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b)};
}

void GroundColour::row(int row, std::array<std::vector<float>, 3>& channels) const {
    const float y_mm = static_cast<float>(row) * mm_per_pixel_ * foreshortening_;
    const auto textured = [&](auto texture) {
        for (std::size_t c = 0; c < channels[0].size(); ++c) {
            const float light = texture.at(static_cast<float>(c) * mm_per_pixel_);
            for (std::size_t channel = 0; channel < 3; ++channel) channels[channel][c] = plain_[channel] * light;
        }
    };
    switch (ground_.kind) {
        case GroundKind::plain:
            for (std::size_t channel = 0; channel < 3; ++channel)
                std::fill(channels[channel].begin(), channels[channel].end(), plain_[channel]);
            break;
        case GroundKind::linen:
            textured(LinenRow(y_mm));
            break;
        case GroundKind::slate:
            textured(SlateRow(y_mm));
            break;
    }
}

}  // namespace loopread::wound
