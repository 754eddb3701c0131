#pragma once

#include <cmath>
#include <numbers>

namespace loopread::wound {

inline constexpr float kPi = std::numbers::pi_v<float>;

/// Single precision suffices for drawing: 1/100 mm in a metre.
struct Vec {
    float x = 0, y = 0, z = 0;

    Vec operator+(Vec o) const { return {x + o.x, y + o.y, z + o.z}; }
    Vec operator-(Vec o) const { return {x - o.x, y - o.y, z - o.z}; }
    Vec operator*(float f) const { return {x * f, y * f, z * f}; }
    Vec& operator+=(Vec o) { return *this = *this + o; }
};
inline float dot(Vec a, Vec b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline Vec cross(Vec a, Vec b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline float norm(Vec v) {
    return std::sqrt(dot(v, v));
}
inline Vec unit(Vec v) {
    const float length = norm(v);
    return length > 0 ? v * (1 / length) : Vec{1, 0, 0};
}
inline Vec mixed(Vec a, Vec b, float share) {
    return a * (1 - share) + b * share;
}

}  // namespace loopread::wound
