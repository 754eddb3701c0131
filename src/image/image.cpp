#include "loopread/image/image.h"

#include <algorithm>
#include <array>

namespace loopread {

Picture8 encoded(const Image& image) {
    Picture8 picture(image.rows(), image.columns());
    for (int row = 0; row < image.rows(); ++row) {
        const LinearRgb* in = image.row(row);
        const LinearRgb* end = in + image.columns();
        // Ribbons and flat grounds repeat whole rows, and comparing is much cheaper than encoding.
        if (row > 0 && std::equal(in, end, image.row(row - 1)))
            std::copy(picture.row(row - 1), picture.row(row - 1) + image.columns(), picture.row(row));
        else
            std::transform(in, end, picture.row(row), srgb8_from_linear);
    }
    return picture;
}

Image decoded(const Picture8& picture) {
    std::array<double, 256> light{};
    for (std::size_t code = 0; code < light.size(); ++code) {
        const auto grey = static_cast<std::uint8_t>(code);
        light[code] = linear_from_srgb8({grey, grey, grey}).r;
    }
    Image image(picture.rows(), picture.columns());
    std::transform(picture.begin(), picture.end(), image.begin(), [&](Srgb8 p) {
        return LinearRgb{light[p.r], light[p.g], light[p.b]};
    });
    return image;
}

}  // namespace loopread
