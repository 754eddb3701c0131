#pragma once

#include <cmath>
#include <cstdint>

namespace loopread::wound {

/// A number in [-1, 1] that belongs to two whole numbers and a seed.
inline float hashed(std::uint32_t seed, std::int32_t a, std::int32_t b = 0) {
    std::uint32_t h = seed * 0x9e3779b1U ^ static_cast<std::uint32_t>(a) * 0x85ebca6bU;
    h = (h ^ (h >> 15)) * 0x2c1b3c6dU ^ static_cast<std::uint32_t>(b) * 0xc2b2ae35U;
    h = (h ^ (h >> 13)) * 0x297a2d39U;
    h ^= h >> 16;
    return static_cast<float>(h) * (2.0F / 4294967296.0F) - 1.0F;
}

inline float smooth_step(float t) {
    return t * t * (3 - 2 * t);
}

/// Noise along a line, [-1, 1], one hump a unit.
inline float smooth_noise(std::uint32_t seed, float x, std::int32_t line = 0) {
    const float cell = std::floor(x);
    const auto i = static_cast<std::int32_t>(cell);
    const float t = smooth_step(x - cell);
    return hashed(seed, i, line) * (1 - t) + hashed(seed, i + 1, line) * t;
}

/// Noise over a plane, [-1, 1].
inline float smooth_noise_2d(std::uint32_t seed, float x, float y) {
    const float cell = std::floor(y);
    const auto j = static_cast<std::int32_t>(cell);
    const float t = smooth_step(y - cell);
    return smooth_noise(seed, x, j) * (1 - t) + smooth_noise(seed, x, j + 1) * t;
}

}  // namespace loopread::wound
