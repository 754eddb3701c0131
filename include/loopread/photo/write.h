#pragma once

#include <string>

#include "loopread/image/image.h"

namespace loopread {

/// The picture as a PNG file in memory, 8 bits a channel, sRGB, no metadata; the same bytes for the same pixels.
/// @throws Error(output) if the picture is too large to be encoded
std::string png_bytes(const Picture8& picture);

/// The picture as a JPEG file in memory, for pages, where a PNG of knitted loops would weigh ten times as much.
/// @param quality  1..100
/// @throws Error(output) as png_bytes
std::string jpeg_bytes(const Picture8& picture, int quality);

}  // namespace loopread
