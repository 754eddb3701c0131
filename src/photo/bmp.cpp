#include <algorithm>
#include <cstdlib>

#include "photo/byte_reader.h"
#include "photo/file_header.h"

namespace loopread {
namespace {

constexpr std::uint32_t kCoreHeader = 12;  // bytes; the oldest kind, with 16-bit sides

constexpr std::uint32_t kHeaderWithAlphaMask = 56;

struct BmpLayout {
    std::uint32_t pixels_at = 0, header_bytes = 0, bits = 0, compression = 0;
    std::int64_t width = 0, height = 0;
    bool usual_masks = false;  ///< blue, green, red from the lowest byte on
    bool has_alpha = false;
    bool complete = false;
};

BmpLayout bmp_layout_of(std::string_view bytes) {
    ByteReader reader(bytes, ByteOrder::little);
    BmpLayout layout;
    layout.pixels_at = reader.u32(10);
    layout.header_bytes = reader.u32(14);
    if (layout.header_bytes == kCoreHeader) {
        layout.width = reader.u16(18);
        layout.height = reader.u16(20);
        layout.bits = reader.u16(24);
    } else {
        layout.width = static_cast<std::int32_t>(reader.u32(18));
        layout.height = std::abs(std::int64_t{static_cast<std::int32_t>(reader.u32(22))});  // negative: top row first
        layout.bits = reader.u16(28);
        layout.compression = reader.u32(30);
    }
    layout.complete = !reader.ran_out();
    layout.usual_masks = reader.u32(54) == 0xFF0000 && reader.u32(58) == 0xFF00 && reader.u32(62) == 0xFF;
    layout.has_alpha = layout.header_bytes >= kHeaderWithAlphaMask && reader.u32(66) != 0;
    return layout;
}

/// What OpenCV 4.6 was seen to decode rightly. 16 bits are not among it: their white comes out as 248.
bool is_plain(const BmpLayout& layout) {
    constexpr std::uint32_t kDepths[] = {1, 4, 8, 24, 32};
    constexpr std::uint32_t kUncompressed = 0, kMasked = 3;
    const bool known_depth = std::count(std::begin(kDepths), std::end(kDepths), layout.bits) == 1;
    return known_depth && (layout.compression == kUncompressed ||
                           (layout.compression == kMasked && layout.bits == 32 && layout.usual_masks));
}

}  // namespace

FileHeader bmp_header(std::string_view bytes) {
    const BmpLayout layout = bmp_layout_of(bytes);
    FileHeader header;
    header.format = PictureFormat::bmp;
    header.width = layout.width;
    header.height = layout.height;
    if (!layout.complete || layout.width < 0)
        header.fault = kCutShort;
    else if (!is_plain(layout))
        header.fault = "is a compressed or rare kind of BMP; export it as PNG";
    return header;
}

bool bmp_has_alpha(std::string_view bytes) {
    return bmp_layout_of(bytes).has_alpha;
}

bool is_whole_bmp(std::string_view bytes) {
    const BmpLayout layout = bmp_layout_of(bytes);
    if (!layout.complete) return false;
    const auto width = static_cast<std::uint64_t>(layout.width), height = static_cast<std::uint64_t>(layout.height);
    const std::uint64_t row_bytes = (width * layout.bits + 31) / 32 * 4;
    return layout.pixels_at >= 14 + layout.header_bytes && layout.pixels_at + row_bytes * height <= bytes.size();
}

}  // namespace loopread
