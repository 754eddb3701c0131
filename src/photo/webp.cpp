#include "photo/byte_reader.h"
#include "photo/file_header.h"

namespace loopread {
namespace {

constexpr std::uint32_t kAnimated = 0x02;  // of the flags of VP8X [RFC 9649]

/// Sizes as [RFC 9649] lays them out; the canvas of VP8X comes first and counts.
void read_chunk(FileHeader& header, ByteReader& reader, std::size_t data, std::uint32_t length) {
    const std::string_view name = reader.part(data - 8, 4);
    if (name == "VP8X") {
        header.width = reader.u24(data + 4) + std::int64_t{1};
        header.height = reader.u24(data + 7) + std::int64_t{1};
        if ((reader.u8(data) & kAnimated) != 0)
            header.fault = "is an animated WebP; export one picture of it as PNG or JPEG";
    } else if (name == "VP8 ") {
        header.lossy = true;
        if (header.width == 0) {
            header.width = reader.u16(data + 6) & 0x3FFF;
            header.height = reader.u16(data + 8) & 0x3FFF;
        }
    } else if (name == "VP8L" && header.width == 0) {
        const std::uint32_t bits = reader.u32(data + 1);
        header.width = (bits & 0x3FFF) + std::int64_t{1};
        header.height = (bits >> 14 & 0x3FFF) + std::int64_t{1};
    } else if (name == "EXIF") {
        read_exif(header, reader.part(data, length));  // the mark is not in the standard, but met
    } else if (name == "ICCP") {
        header.colours.profile = reader.part(data, length);
        header.colours.damaged = header.colours.profile.empty();
    }
}

}  // namespace

FileHeader webp_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::webp;
    ByteReader reader(bytes, ByteOrder::little);
    for (std::size_t at = 12; reader.has(at, 8);) {
        const std::uint32_t length = reader.u32(at + 4);
        read_chunk(header, reader, at + 8, length);
        at += 8 + std::size_t{length} + (length & 1);
    }
    if (reader.ran_out() || header.width == 0) header.fault = kCutShort;
    return header;
}

}  // namespace loopread
