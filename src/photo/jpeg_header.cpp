#include "photo/byte_reader.h"
#include "photo/file_header.h"
#include "photo/ifd.h"

namespace loopread {
namespace {

constexpr std::string_view kExifMark("Exif\0\0", 6);

bool is_frame(std::uint32_t marker) {  // SOF0..15 but for DHT, JPG and DAC, which share their range [ITU-T T.81]
    return marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC;
}

bool is_common_frame(std::uint32_t marker) {
    return marker <= 0xC2 || marker == 0xC9 || marker == 0xCA;
}

void read_frame(FileHeader& header, ByteReader& reader, std::size_t at, std::uint32_t marker) {
    const std::uint32_t precision = reader.u8(at + 2), components = reader.u8(at + 7);
    header.height = reader.u16(at + 3);
    header.width = reader.u16(at + 5);
    if (!is_common_frame(marker) || precision != 8)
        header.fault =
            "is a rare kind of JPEG (lossless or of more than 8 bits); export it as an ordinary JPEG or as PNG";
    else if (components == 4)
        header.fault = "is a CMYK picture, made for a printing press; export it as an sRGB JPEG or PNG";
    else if (components != 1 && components != 3)
        header.fault = "is a JPEG of " + std::to_string(components) + " channels; export it as an sRGB JPEG or PNG";
}

void read_exif(FileHeader& header, std::string_view segment) {
    if (!segment.starts_with(kExifMark)) return;
    std::optional<Ifd> ifd = Ifd::first_in(segment.substr(kExifMark.size()));
    if (!ifd) return;
    header.orientation = ifd->orientation();
    header.names_camera = ifd->names_camera();
}

}  // namespace

FileHeader jpeg_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::jpeg;
    header.lossy = true;
    ByteReader reader(bytes, ByteOrder::big);
    std::size_t at = 2;
    while (!reader.ran_out()) {
        while (reader.u8(at) != 0xFF && !reader.ran_out()) ++at;
        while (reader.u8(at) == 0xFF) ++at;  // fill bytes are legal before a marker
        const std::uint32_t marker = reader.u8(at++);
        if (marker == 0x01 || (marker >= 0xD0 && marker <= 0xD8)) continue;  // markers that stand alone
        if (marker == 0xD9 || marker == 0xDA) break;                         // no frame came before the pixels
        const std::size_t length = reader.u16(at);
        if (marker == 0xE1) read_exif(header, reader.part(at + 2, length < 2 ? 0 : length - 2));
        if (is_frame(marker)) {
            read_frame(header, reader, at, marker);
            if (reader.ran_out()) break;
            return header;
        }
        at += length < 2 ? 2 : length;
    }
    header.fault = kCutShortPhoto;
    return header;
}

}  // namespace loopread
