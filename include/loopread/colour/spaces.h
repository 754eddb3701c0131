#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace loopread {

/// One pixel as files store it: sRGB, gamma-encoded, 0..255. No arithmetic: convert first.
struct Srgb8 {
    std::uint8_t r = 0, g = 0, b = 0;
    bool operator==(const Srgb8&) const = default;
};

/// Light: linear sRGB primaries, white = (1, 1, 1). The only colour type with arithmetic, since only light adds.
struct LinearRgb {
    double r = 0, g = 0, b = 0;
    bool operator==(const LinearRgb&) const = default;

    LinearRgb& operator+=(LinearRgb o) {
        r += o.r;
        g += o.g;
        b += o.b;
        return *this;
    }
    LinearRgb& operator-=(LinearRgb o) { return *this += o * -1.0; }
    LinearRgb operator+(LinearRgb o) const { return {r + o.r, g + o.g, b + o.b}; }
    LinearRgb operator-(LinearRgb o) const { return {r - o.r, g - o.g, b - o.b}; }
    LinearRgb operator*(double f) const { return {r * f, g * f, b * f}; }
};
inline LinearRgb operator*(double f, LinearRgb c) {
    return c * f;
}

/// `share` of `over`, the rest of `under`, as light.
inline LinearRgb mixed(LinearRgb under, LinearRgb over, double share) {
    return under * (1 - share) + over * share;
}

/// CIE 1931 2 degree, D65, Y of white = 1.
struct Xyz {
    double x = 0, y = 0, z = 0;
};

/// CIELAB 1976, D65 2 degree; L in [0, 100].
struct Lab {
    double l = 0, a = 0, b = 0;
    bool operator==(const Lab&) const = default;
};

/// OKLab; l in [0, 1].
struct Oklab {
    double l = 0, a = 0, b = 0;
};

/// Decoding and encoding of one channel, [0, 1] to [0, 1]; the straight piece goes on below 0.
/// Source: [IEC 61966-2-1:1999].
double linear_from_encoded(double encoded);
double encoded_from_linear(double linear);

LinearRgb linear_from_srgb8(Srgb8 colour);
/// Out-of-gamut values are clipped channel by channel.
Srgb8 srgb8_from_linear(LinearRgb colour);

/// Source: the BT.709 primaries and the white (0.3127, 0.3290) [IEC 61966-2-1:1999].
Xyz xyz_from_linear(LinearRgb colour);
LinearRgb linear_from_xyz(Xyz colour);

/// White: (0.3127/0.3290, 1, 0.3583/0.3290). Source: [CIE 15:2004], with the exact 24389/27 and 216/24389.
Lab lab_from_xyz(Xyz colour);
Xyz xyz_from_lab(Lab colour);
Lab lab_from_linear(LinearRgb colour);
LinearRgb linear_from_lab(Lab colour);

/// Source: [Ottosson 2020], the matrices from linear sRGB; signed cube root.
Oklab oklab_from_linear(LinearRgb colour);
LinearRgb linear_from_oklab(Oklab colour);

/// "#rrggbb", lower case.
std::string hex_text(Srgb8 colour);
/// "#rrggbb" or "#rgb", either case; anything else is nothing.
std::optional<Srgb8> parsed_hex(std::string_view text);

}  // namespace loopread
