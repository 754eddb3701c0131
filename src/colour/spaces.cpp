#include "loopread/colour/spaces.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace loopread {
namespace {

struct Vector3 {
    double x = 0, y = 0, z = 0;
};

struct Matrix3 {
    double m[3][3];

    constexpr Vector3 operator*(Vector3 v) const {
        return {m[0][0] * v.x + m[0][1] * v.y + m[0][2] * v.z, m[1][0] * v.x + m[1][1] * v.y + m[1][2] * v.z,
                m[2][0] * v.x + m[2][1] * v.y + m[2][2] * v.z};
    }
};

/// Worked out rather than copied, so that there and back is the same colour to the last digits.
constexpr Matrix3 inverse(const Matrix3& matrix) {
    const auto& m = matrix.m;
    Matrix3 result{};
    double determinant = 0;
    for (int i = 0; i < 3; ++i) {
        const int i1 = (i + 1) % 3, i2 = (i + 2) % 3;
        for (int j = 0; j < 3; ++j) {
            const int j1 = (j + 1) % 3, j2 = (j + 2) % 3;
            result.m[j][i] = m[i1][j1] * m[i2][j2] - m[i1][j2] * m[i2][j1];
        }
        determinant += m[0][i] * (m[1][i1] * m[2][i2] - m[1][i2] * m[2][i1]);
    }
    for (auto& row : result.m)
        for (double& cell : row) cell /= determinant;
    return result;
}

/// From the BT.709 primaries and the white (0.3127, 0.3290) [IEC 61966-2-1:1999].
constexpr Matrix3 kXyzFromLinear = {{{0.4123907992659592, 0.357584339383878, 0.1804807884018343},
                                     {0.2126390058715102, 0.715168678767756, 0.0721923153607337},
                                     {0.0193308187155918, 0.119194779794626, 0.9505321522496607}}};
constexpr Matrix3 kLinearFromXyz = inverse(kXyzFromLinear);

/// [Ottosson 2020]: cone responses from linear sRGB, and OKLab from their cube roots.
constexpr Matrix3 kConesFromLinear = {{{0.4122214708, 0.5363325363, 0.0514459929},
                                       {0.2119034982, 0.6806995451, 0.1073969566},
                                       {0.0883024619, 0.2817188376, 0.6299787005}}};
constexpr Matrix3 kOklabFromRoots = {{{0.2104542553, 0.7936177850, -0.0040720468},
                                      {1.9779984951, -2.4285922050, 0.4505937099},
                                      {0.0259040371, 0.7827717662, -0.8086757660}}};
constexpr Matrix3 kLinearFromCones = inverse(kConesFromLinear);
constexpr Matrix3 kRootsFromOklab = inverse(kOklabFromRoots);

constexpr Xyz kWhite = {0.3127 / 0.3290, 1.0, 0.3583 / 0.3290};
constexpr double kLabEpsilon = 216.0 / 24389.0;  // [CIE 15:2004], the exact fractions
constexpr double kLabKappa = 24389.0 / 27.0;

double lab_root(double t) {
    return t > kLabEpsilon ? std::cbrt(t) : (kLabKappa * t + 16) / 116;
}

double lab_cube(double f) {
    const double cube = f * f * f;
    return cube > kLabEpsilon ? cube : (116 * f - 16) / kLabKappa;
}

double cubed(double x) {
    return x * x * x;
}

const std::array<double, 256>& decoding_table() {
    static const std::array<double, 256> table = [] {
        std::array<double, 256> values{};
        for (std::size_t code = 0; code < values.size(); ++code)
            values[code] = linear_from_encoded(static_cast<double>(code) / 255);
        return values;
    }();
    return table;
}

/// Encoding to 8 bits without a power per channel: code k begins where the curve passes k - 1/2.
class EncodingTable {
public:
    EncodingTable() {
        for (std::size_t code = 1; code < kCodes; ++code)
            begins_[code] = linear_from_encoded((static_cast<double>(code) - 0.5) / 255);
        begins_[kCodes] = 2;  // above all that is looked up
        std::size_t code = 0;
        for (std::size_t cell = 0; cell < kCells; ++cell) {
            while (begins_[code + 1] <= static_cast<double>(cell) / kCells) ++code;
            first_in_cell_[cell] = static_cast<std::uint8_t>(code);
        }
    }

    std::uint8_t code(double linear) const {
        if (!(linear > 0)) return 0;
        if (linear >= 1) return 255;
        std::size_t found = first_in_cell_[static_cast<std::size_t>(linear * kCells)];
        while (begins_[found + 1] <= linear) ++found;
        return static_cast<std::uint8_t>(found);
    }

private:
    static constexpr std::size_t kCodes = 256;
    static constexpr std::size_t kCells = 4096;  // a power of two; the steepest code is 1.2 cells wide
    std::array<double, kCodes + 1> begins_{};
    std::array<std::uint8_t, kCells> first_in_cell_{};
};

int hex_digit(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

}  // namespace

double linear_from_encoded(double encoded) {
    return encoded <= 0.04045 ? encoded / 12.92 : std::pow((encoded + 0.055) / 1.055, 2.4);
}

double encoded_from_linear(double linear) {
    return linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
}

LinearRgb linear_from_srgb8(Srgb8 colour) {
    const std::array<double, 256>& table = decoding_table();
    return {table[colour.r], table[colour.g], table[colour.b]};
}

Srgb8 srgb8_from_linear(LinearRgb colour) {
    static const EncodingTable table;
    return {table.code(colour.r), table.code(colour.g), table.code(colour.b)};
}

Xyz xyz_from_linear(LinearRgb colour) {
    const Vector3 v = kXyzFromLinear * Vector3{colour.r, colour.g, colour.b};
    return {v.x, v.y, v.z};
}

LinearRgb linear_from_xyz(Xyz colour) {
    const Vector3 v = kLinearFromXyz * Vector3{colour.x, colour.y, colour.z};
    return {v.x, v.y, v.z};
}

Lab lab_from_xyz(Xyz colour) {
    const double fx = lab_root(colour.x / kWhite.x);
    const double fy = lab_root(colour.y / kWhite.y);
    const double fz = lab_root(colour.z / kWhite.z);
    return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Xyz xyz_from_lab(Lab colour) {
    const double fy = (colour.l + 16) / 116;
    return {kWhite.x * lab_cube(fy + colour.a / 500), kWhite.y * lab_cube(fy),
            kWhite.z * lab_cube(fy - colour.b / 200)};
}

Lab lab_from_linear(LinearRgb colour) {
    return lab_from_xyz(xyz_from_linear(colour));
}

LinearRgb linear_from_lab(Lab colour) {
    return linear_from_xyz(xyz_from_lab(colour));
}

Oklab oklab_from_linear(LinearRgb colour) {
    const Vector3 cones = kConesFromLinear * Vector3{colour.r, colour.g, colour.b};
    const Vector3 v = kOklabFromRoots * Vector3{std::cbrt(cones.x), std::cbrt(cones.y), std::cbrt(cones.z)};
    return {v.x, v.y, v.z};
}

LinearRgb linear_from_oklab(Oklab colour) {
    const Vector3 roots = kRootsFromOklab * Vector3{colour.l, colour.a, colour.b};
    const Vector3 v = kLinearFromCones * Vector3{cubed(roots.x), cubed(roots.y), cubed(roots.z)};
    return {v.x, v.y, v.z};
}

std::string hex_text(Srgb8 colour) {
    static constexpr char kDigits[] = "0123456789abcdef";
    std::string text = "#000000";
    std::size_t place = 1;
    for (const std::uint8_t channel : {colour.r, colour.g, colour.b}) {
        text[place++] = kDigits[channel >> 4];
        text[place++] = kDigits[channel & 15];
    }
    return text;
}

std::optional<Srgb8> parsed_hex(std::string_view text) {
    if ((text.size() != 4 && text.size() != 7) || text.front() != '#') return std::nullopt;
    const std::size_t digits = text.size() / 3;  // per channel
    std::array<std::uint8_t, 3> channels{};
    for (std::size_t i = 0; i < channels.size(); ++i) {
        const int high = hex_digit(text[1 + i * digits]);
        const int low = hex_digit(text[i * digits + digits]);
        if (high < 0 || low < 0) return std::nullopt;
        channels[i] = static_cast<std::uint8_t>(high * 16 + low);
    }
    return Srgb8{channels[0], channels[1], channels[2]};
}

}  // namespace loopread
