// A picture file of any kind, from its first byte to light.

#include <algorithm>
#include <cmath>

#include "fuzz/promises.h"
#include "loopread/photo/read.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr std::size_t kMostBytes = 60'000;
constexpr double kMostMegapixels = 0.02;  // so that an input takes milliseconds
constexpr LinearRgb kUnder{0.9, 0.85, 0.74};
constexpr double kMostLight = 100;  // far beyond any colour space; less than what runs away

int shrunk(int side, int shrink) {
    return (side + shrink - 1) / shrink;
}

bool is_light(double value) {
    return std::abs(value) <= kMostLight;  // and so no NaN
}

void hold_light(const Image& picture) {
    for (const LinearRgb& pixel : picture)
        hold(is_light(pixel.r) && is_light(pixel.g) && is_light(pixel.b), "a pixel is light");
}

void hold_read(const std::filesystem::path& file, const PictureHeader& header, int shrink) {
    const auto picture = fuzz::unless_refused([&] { return read_picture(file, {shrink, kUnder, kMostMegapixels}); });
    const auto stencil = fuzz::unless_refused([&] { return read_stencil(file, shrink, kMostMegapixels); });
    hold(picture.has_value() == stencil.has_value(), "what reads as a picture reads as a stencil");
    if (!picture) return;
    const int columns = shrunk(header.width, shrink), rows = shrunk(header.height, shrink);
    hold(picture->columns() == columns && picture->rows() == rows, "a picture is as large as its header says");
    hold(stencil->columns() == columns && stencil->rows() == rows, "a stencil is as large as its header says");
    hold_light(*picture);
    hold(std::ranges::all_of(*stencil, [](double share) { return share >= 0 && share <= 1; }), "coverage is a share");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const fuzz::InputFile file(fuzz::text_of(data, size));
    const auto header = fuzz::unless_refused([&] { return picture_header(file.path(), kMostMegapixels); });
    if (!header) {
        hold(!fuzz::unless_refused([&] {
            return read_picture(file.path(), {1, kUnder, kMostMegapixels});
        }),
             "what the header refuses is not read");
        return 0;
    }
    hold(header->width > 0 && header->height > 0, "a picture has sides");
    hold(header->width * 1e-6 * header->height <= kMostMegapixels, "a picture keeps to the limit");
    hold(header->orientation >= 1 && header->orientation <= 8, "an orientation is one of eight");
    for (const int shrink : {1, 3, 8}) hold_read(file.path(), *header, shrink);
    return 0;
}
