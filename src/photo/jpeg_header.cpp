#include <vector>

#include "photo/byte_reader.h"
#include "photo/file_header.h"

namespace loopread {
namespace {

constexpr std::string_view kProfileMark("ICC_PROFILE\0", 12);

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
    header.grey = components == 1;
    if (!is_common_frame(marker) || precision != 8)
        header.fault =
            "is a rare kind of JPEG (lossless or of more than 8 bits); export it as an ordinary JPEG or as PNG";
    else if (components == 4)
        header.fault = "is a CMYK picture, made for a printing press; export it as an sRGB JPEG or PNG";
    else if (components != 1 && components != 3)
        header.fault = "is a JPEG of " + std::to_string(components) + " channels; export it as an sRGB JPEG or PNG";
}

/// A profile in numbered parts, since a segment holds 64 kB at most [ICC 1:2010].
class ProfileParts {
public:
    void add(std::string_view segment) {
        if (!segment.starts_with(kProfileMark) || segment.size() < kProfileMark.size() + 2) return;
        segment.remove_prefix(kProfileMark.size());
        const auto number = static_cast<unsigned char>(segment[0]), count = static_cast<unsigned char>(segment[1]);
        if (parts_.empty()) parts_.resize(count);
        fits_ = fits_ && count == parts_.size() && number >= 1 && number <= count;
        if (fits_) parts_[number - 1U] = segment.substr(2);
        there_ = true;
    }
    void put_into(ColourTags& colours) const {
        for (const std::string_view part : parts_) {
            colours.profile += part;
            colours.damaged = colours.damaged || part.empty();
        }
        colours.damaged = there_ && (colours.damaged || !fits_);
    }

private:
    std::vector<std::string_view> parts_;
    bool there_ = false, fits_ = true;
};

}  // namespace

FileHeader jpeg_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::jpeg;
    header.lossy = true;
    ByteReader reader(bytes, ByteOrder::big);
    ProfileParts profile;
    bool framed = false;
    std::size_t at = 2;
    while (!reader.ran_out()) {
        while (reader.u8(at) != 0xFF && !reader.ran_out()) ++at;
        while (reader.u8(at) == 0xFF) ++at;  // fill bytes are legal before a marker
        const std::uint32_t marker = reader.u8(at++);
        if (marker == 0x01 || (marker >= 0xD0 && marker <= 0xD8)) continue;  // markers that stand alone
        if (marker == 0xD9 || marker == 0xDA) break;                         // the pixels, or the end
        const std::size_t length = reader.u16(at);
        const std::string_view segment = reader.part(at + 2, length < 2 ? 0 : length - 2);
        if (marker == 0xE1 && segment.starts_with(kExifMark)) read_exif(header, segment);
        if (marker == 0xE2) profile.add(segment);
        if (is_frame(marker) && !framed) {
            read_frame(header, reader, at, marker);
            framed = !reader.ran_out();
        }
        at += length < 2 ? 2 : length;
    }
    profile.put_into(header.colours);
    if (!framed) header.fault = kCutShortPhoto;
    return header;
}

}  // namespace loopread
