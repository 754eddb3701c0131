#pragma once

#include <string>
#include <string_view>

namespace loopread {

enum class AlphaKind {
    none,           ///< a fourth channel, if any, means nothing
    straight,       ///< colours are as if opaque
    premultiplied,  ///< colours have been multiplied by it
};

struct TiffSamples {
    AlphaKind alpha = AlphaKind::none;
    bool white_is_zero_left = false;  ///< still negative after decoding: OpenCV 4.6 mends 8 bits, not 16
};
TiffSamples tiff_samples(std::string_view bytes);

/// The file with its orientation set to 1, since OpenCV 4.6 always turns a TIFF, and with straight alpha called
/// premultiplied, which keeps libtiff from multiplying 8-bit colours by it.
std::string unturned_tiff(std::string_view bytes);

}  // namespace loopread
