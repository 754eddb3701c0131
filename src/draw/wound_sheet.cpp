#include "loopread/draw/wound_sheet.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/draw/canvas.h"

namespace loopread {

Picture8 with_caption(Picture8 picture, const std::string& words) {
    require(!picture.empty(), "a picture has pixels");
    const int longer = std::max(picture.rows(), picture.columns());
    // Shops show a picture of 2000 pixels at 800 or so: the letters are still to be read then.
    const double size = std::max(9.0, 0.0145 * longer);
    const int strip = std::min(picture.rows(), static_cast<int>(std::ceil(2.4 * size)));
    const int top = picture.rows() - strip;
    Picture8 lower(strip, picture.columns());
    std::copy(picture.row(top), picture.row(top) + lower.size(), lower.begin());

    const Srgb8 ground = lower(strip / 2, picture.columns() / 2);
    const bool dark = lab_from_linear(linear_from_srgb8(ground)).l < 50;
    const Srgb8 letters = dark ? Srgb8{0xc9, 0xc6, 0xc0} : Srgb8{0x5a, 0x55, 0x4e};
    Canvas canvas(picture.columns(), strip, ground);
    canvas.picture(lower, 0, 0);
    TextStyle style{.size = size, .colour = letters, .align = Align::middle};
    const double room = 0.94 * picture.columns(), wide = canvas.text_width(words, style);
    if (wide > room) style.size *= room / wide;
    canvas.text(picture.columns() / 2.0, strip - 0.95 * size, words, style);
    const Picture8 drawn = canvas.pixels();
    std::copy(drawn.begin(), drawn.end(), picture.row(top));
    return picture;
}

}  // namespace loopread
