#include "photo/tiff.h"

#include <algorithm>

#include "photo/file_header.h"
#include "photo/ifd.h"

namespace loopread {
namespace {

// Tags and values of [TIFF 6.0].
constexpr std::uint32_t kWidth = 256, kHeight = 257, kBits = 258, kCompression = 259, kPhotometric = 262,
                        kStripAt = 273, kSamples = 277, kStripBytes = 279, kPlanar = 284, kTileAt = 324,
                        kTileBytes = 325, kExtraSamples = 338, kSampleFormat = 339;
constexpr std::uint32_t kProfile = 34675;  // [ICC 1:2010]
constexpr std::uint32_t kPremultiplied = 1, kStraight = 2;
struct Photometric {
    enum : std::uint32_t { white_is_zero = 0, black_is_zero = 1, rgb = 2, palette = 3, cmyk = 5, ycbcr = 6 };
};

struct TiffLayout {
    std::uint32_t width = 0, height = 0, bits = 1, compression = 1, photometric = 0, samples = 1, planar = 1, extra = 0,
                  format = 1;
};

TiffLayout layout_of(Ifd& ifd) {
    TiffLayout layout;
    layout.width = ifd.number(kWidth).value_or(0);
    layout.height = ifd.number(kHeight).value_or(0);
    layout.bits = ifd.number(kBits).value_or(1);
    layout.compression = ifd.number(kCompression).value_or(1);
    layout.photometric = ifd.number(kPhotometric).value_or(0);
    layout.samples = ifd.number(kSamples).value_or(1);
    layout.planar = ifd.number(kPlanar).value_or(1);
    layout.extra = ifd.number(kExtraSamples).value_or(0);
    layout.format = ifd.number(kSampleFormat).value_or(1);
    return layout;
}

/// What OpenCV 4.6 was seen to decode rightly; the rest it refuses aloud or gets wrong.
bool is_read(const TiffLayout& layout) {
    if (layout.format != 1) return false;
    const bool whole_samples = layout.bits == 8 || (layout.bits == 16 && layout.planar == 1);
    switch (layout.photometric) {
        case Photometric::white_is_zero:
        case Photometric::black_is_zero:
            return layout.samples == 1 && (whole_samples || layout.bits == 1);
        case Photometric::rgb:
            return (layout.samples == 3 || layout.samples == 4) && whole_samples;
        case Photometric::palette:
            return layout.samples == 1 && layout.bits == 8;
        case Photometric::ycbcr:
            return layout.samples == 3 && layout.bits == 8;
        default:
            return false;
    }
}

bool all_inside(Ifd& ifd, std::uint32_t places, std::uint32_t lengths, std::size_t size) {
    const IfdEntry* const entry = ifd.entry(places);
    if (entry == nullptr || entry->count == 0) return false;
    for (std::uint32_t i = 0; i < entry->count; ++i) {
        const std::optional<std::uint32_t> at = ifd.number(places, i), length = ifd.number(lengths, i);
        if (!at || !length || std::uint64_t{*at} + *length > size) return false;
    }
    return true;
}

std::uint64_t stored_bytes(Ifd& ifd, std::uint32_t lengths) {
    const IfdEntry* const entry = ifd.entry(lengths);
    std::uint64_t sum = 0;
    for (std::uint32_t i = 0; entry != nullptr && i < entry->count; ++i) sum += ifd.number(lengths, i).value_or(0);
    return sum;
}

void put_short(std::string& bytes, const IfdEntry* entry, ByteOrder order, char value) {
    constexpr std::uint32_t kTypeShort = 3;
    if (entry == nullptr || entry->type != kTypeShort || entry->count == 0) return;
    bytes[entry->value_at] = order == ByteOrder::little ? value : '\0';
    bytes[entry->value_at + 1] = order == ByteOrder::little ? '\0' : value;
}

}  // namespace

FileHeader tiff_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::tiff;
    std::optional<Ifd> ifd = Ifd::first_in(bytes);
    const TiffLayout layout = layout_of(*ifd);
    header.width = layout.width;
    header.height = layout.height;
    header.orientation = ifd->orientation();
    header.names_camera = ifd->names_camera();
    header.grey = layout.photometric == Photometric::white_is_zero || layout.photometric == Photometric::black_is_zero;
    header.colours.profile = ifd->data(kProfile);
    header.lossy = layout.compression == 6 || layout.compression == 7;  // the old and the new JPEG in TIFF
    if (bytes.substr(0, 10).ends_with("CR"))
        header.fault = "is a camera's raw file; export it as JPEG";
    else if (!ifd->is_whole())
        header.fault = kCutShort;
    else if (layout.photometric == Photometric::cmyk)
        header.fault = "is a CMYK picture, made for a printing press; export it as an sRGB PNG";
    else if (!is_read(layout))
        header.fault = "is a rare kind of TIFF (or a camera's raw file); export it as PNG with 8 or 16 bits";
    return header;
}

bool is_whole_tiff(std::string_view bytes) {
    std::optional<Ifd> ifd = Ifd::first_in(bytes);
    const TiffLayout layout = layout_of(*ifd);
    const bool tiled = ifd->entry(kTileAt) != nullptr;
    const std::uint32_t lengths = tiled ? kTileBytes : kStripBytes;
    if (!all_inside(*ifd, tiled ? kTileAt : kStripAt, lengths, bytes.size())) return false;
    const std::uint64_t row = (std::uint64_t{layout.width} * layout.bits * layout.samples + 7) / 8;
    const bool plain = layout.compression == 1 && layout.photometric != Photometric::ycbcr;
    return !plain || stored_bytes(*ifd, lengths) >= row * layout.height;
}

TiffSamples tiff_samples(std::string_view bytes) {
    std::optional<Ifd> ifd = Ifd::first_in(bytes);
    const TiffLayout layout = layout_of(*ifd);
    TiffSamples samples;
    if (layout.samples == 4 && layout.extra == kPremultiplied) samples.alpha = AlphaKind::premultiplied;
    if (layout.samples == 4 && layout.extra == kStraight) samples.alpha = AlphaKind::straight;
    samples.white_is_zero_left = layout.bits == 16 && layout.photometric == Photometric::white_is_zero;
    return samples;
}

std::string unturned_tiff(std::string_view bytes) {
    std::string unturned(bytes);
    std::optional<Ifd> ifd = Ifd::first_in(bytes);
    put_short(unturned, ifd->entry(kOrientationTag), ifd->order(), 1);
    if (ifd->number(kExtraSamples) == kStraight)
        put_short(unturned, ifd->entry(kExtraSamples), ifd->order(), static_cast<char>(kPremultiplied));
    return unturned;
}

}  // namespace loopread
