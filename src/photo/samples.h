#pragma once

#include "loopread/colour/spaces.h"

namespace loopread {

enum class SampleDepth { bits_8, bits_16 };

/// One row of a decoded picture, gamma-encoded; 1 channel is grey, 3 are blue, green, red, 4 have straight alpha last.
struct SampleRow {
    const unsigned char* first = nullptr;
    int columns = 0;
    int channels = 3;
    SampleDepth depth = SampleDepth::bits_8;
};

inline constexpr int highest_code(SampleDepth depth) {
    return depth == SampleDepth::bits_8 ? 255 : 65535;
}

/// Light of every code of the three channels, [0, highest_code].
struct CodeLight {
    const double* red = nullptr;
    const double* green = nullptr;
    const double* blue = nullptr;
};
CodeLight srgb_code_light(SampleDepth depth);

/// Light of each pixel over `under`.
void write_light(const SampleRow& row, const CodeLight& light, LinearRgb under, LinearRgb* out);

/// A pixel as codes between 0 and 1, as colour management takes it.
struct CodePixel {
    float r = 0, g = 0, b = 0, alpha = 1;
};
void write_codes(const SampleRow& row, CodePixel* out);

/// Black = 1, white = 0, transparent = 0, in proportion to the encoded value between: drawing programs soften edges on
/// that scale, so that a pixel half covered is stored half way. A tint counts by its luma (weights of BT.709).
void write_coverage(const SampleRow& row, double* out);

}  // namespace loopread
