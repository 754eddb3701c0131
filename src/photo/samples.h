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

/// Light of each pixel over `under`.
void write_light(const SampleRow& row, LinearRgb under, LinearRgb* out);

/// Black = 1, white = 0, transparent = 0, in proportion to the encoded value between: drawing programs soften edges on
/// that scale, so that a pixel half covered is stored half way. A tint counts by its luma (weights of BT.709).
void write_coverage(const SampleRow& row, double* out);

}  // namespace loopread
