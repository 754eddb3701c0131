#pragma once

#include <compare>

namespace loopread {

/// A number with its unit in its type: quantities of one unit add and compare, two of them divide to a plain ratio,
/// and nothing else compiles.
template <class Unit>
struct Quantity {
    double value = 0;

    constexpr auto operator<=>(const Quantity&) const = default;
    constexpr Quantity operator+(Quantity other) const { return {value + other.value}; }
    constexpr Quantity operator-(Quantity other) const { return {value - other.value}; }
    constexpr Quantity operator*(double factor) const { return {value * factor}; }
    constexpr Quantity operator/(double divisor) const { return {value / divisor}; }
    constexpr double operator/(Quantity other) const { return value / other.value; }
};
template <class Unit>
constexpr Quantity<Unit> operator*(double factor, Quantity<Unit> quantity) {
    return quantity * factor;
}

using Millimetres = Quantity<struct MillimetreUnit>;
using Grams = Quantity<struct GramUnit>;
using Degrees = Quantity<struct DegreeUnit>;
using Tex = Quantity<struct TexUnit>;  ///< grams per kilometre of yarn

constexpr Millimetres operator""_mm(long double v) {
    return {static_cast<double>(v)};
}
constexpr Millimetres operator""_cm(long double v) {
    return {static_cast<double>(v) * 10.0};
}
constexpr Millimetres operator""_m(long double v) {
    return {static_cast<double>(v) * 1000.0};
}
constexpr Grams operator""_g(long double v) {
    return {static_cast<double>(v)};
}
constexpr Degrees operator""_deg(long double v) {
    return {static_cast<double>(v)};
}

}  // namespace loopread
