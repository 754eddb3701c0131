#pragma once

#include <string>

#include "loopread/image/image.h"

namespace loopread {

/// The picture as a PNG file in memory, 8 bits a channel, sRGB, no metadata; the same bytes for the same pixels.
std::string png_bytes(const Picture8& picture);

}  // namespace loopread
