#pragma once

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

/// std::floor of a number that an int32 holds, without a call.
inline std::int32_t whole_below(float x) {
    const auto cut = static_cast<std::int32_t>(x);
    return cut - (static_cast<float>(cut) > x ? 1 : 0);
}

inline float smooth_step(float t) {
    return t * t * (3 - 2 * t);
}

/// Noise along a line, [-1, 1], one hump a unit.
inline float smooth_noise(std::uint32_t seed, float x, std::int32_t line = 0) {
    const std::int32_t i = whole_below(x);
    const float t = smooth_step(x - static_cast<float>(i));
    return hashed(seed, i, line) * (1 - t) + hashed(seed, i + 1, line) * t;
}

/// Noise over a plane, [-1, 1].
inline float smooth_noise_2d(std::uint32_t seed, float x, float y) {
    const std::int32_t j = whole_below(y);
    const float t = smooth_step(y - static_cast<float>(j));
    return smooth_noise(seed, x, j) * (1 - t) + smooth_noise(seed, x, j + 1) * t;
}

}  // namespace loopread::wound
