#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loopread {

/// The file with nothing but what makes its pixels: libpng complains aloud of odd colour profiles, texts and dates.
/// The bytes are those of a whole PNG (is_whole_png).
std::string bare_png(std::string_view bytes);

/// The grey that stands for "transparent" in a grey PNG, on the scale its pixels have after decoding; OpenCV 4.6
/// drops it.
std::optional<int> transparent_grey(std::string_view bytes);

}  // namespace loopread
