#pragma once

#include <algorithm>

#include "loopread/draw/canvas.h"
#include "loopread/image/image.h"

/// What can be read off a drawn sheet.
namespace loopread::sheet_pixels {

inline constexpr int kBareMargin = 24;  // pixels round the sheet that nothing may reach

inline int pixels_of(const Picture8& picture, Srgb8 colour) {
    return static_cast<int>(std::count(picture.begin(), picture.end(), colour));
}

inline bool bare_margins(const Picture8& sheet) {
    for (int y = 0; y < sheet.rows(); ++y)
        for (int x = 0; x < sheet.columns(); ++x) {
            const bool margin = y < kBareMargin || x < kBareMargin || y >= sheet.rows() - kBareMargin ||
                                x >= sheet.columns() - kBareMargin;
            if (margin && sheet(y, x) != ink::kPaper) return false;
        }
    return true;
}

}  // namespace loopread::sheet_pixels
