#pragma once

#include <cstddef>
#include <string>

#include "loopread/image/image.h"

namespace loopread {

/// The longest address a label of 3 cm still holds in dots that a phone can read (chosen: about 60 dots across).
inline constexpr std::size_t kLongestQrAddress = 200;

/// A QR code [ISO/IEC 18004] of these bytes, mended up to 15 % (level M), black on white with the quiet zone of four
/// dots that the standard asks for.
/// @param pixels_per_dot  over 0 (require)
/// @throws contract for no bytes, or more than kLongestQrAddress
Picture8 qr_picture(const std::string& bytes, int pixels_per_dot);

}  // namespace loopread
