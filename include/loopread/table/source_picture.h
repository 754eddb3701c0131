#pragma once

#include <cstdint>
#include <vector>

#include "loopread/image/image.h"
#include "loopread/table/state.h"

namespace loopread {

/// A picture as a page hands it over: sRGB, straight alpha, row after row.
struct SourcePicture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;
    bool empty() const { return rgba.empty(); }
};

/// The picture as light over `under`, each side reduced by a whole number (means of blocks).
Image light_of(const SourcePicture& picture, LinearRgb under, int shrink);

/// Coverage: black is 1, white and transparent are 0, in proportion to the encoded value between, since drawing
/// programs soften edges on that scale.
Plane coverage_of(const SourcePicture& picture);

struct FlatSize {
    int width = 0, height = 0;
};
/// Pixels of the blank within the corners: the means of opposite sides.
/// @throws Error(input) unless the four corners go clockwise round a shape without dents
FlatSize flat_size(const std::vector<PicturePoint>& corners);

/// The blank within the corners as it would lie flat before us, by a projective map [Heckbert 1989].
/// @param picture  reduced by `shrink`; the corners count full pixels
Image flattened(const Image& picture, const std::vector<PicturePoint>& corners, int shrink);

}  // namespace loopread
