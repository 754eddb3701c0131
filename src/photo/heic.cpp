#include "photo/heic.h"

#include <algorithm>
#include <string_view>

#include "photo/byte_reader.h"
#include "photo/codecs.h"
#include "photo/hevc_size.h"

namespace loopread {
namespace {

constexpr std::size_t kFirstCompatible = 16;  // after size, "ftyp", major brand and its version [ISO/IEC 14496-12]

bool is_still(std::string_view brand) {
    return brand == "heic" || brand == "heix" || brand == "heim" || brand == "heis";
}

std::string_view major_brand(std::string_view bytes) {
    return bytes.size() >= kFirstCompatible && bytes.substr(4, 4) == "ftyp" ? bytes.substr(8, 4) : std::string_view{};
}

template <class Accepts>
bool any_compatible(std::string_view bytes, const Accepts& accepts) {
    ByteReader reader(bytes, ByteOrder::big);
    const std::size_t end = std::min<std::size_t>(reader.u32(0), bytes.size());
    for (std::size_t at = kFirstCompatible; at + 4 <= end; at += 4)
        if (accepts(reader.part(at, 4))) return true;
    return false;
}

/// Brands that say no more than how the boxes lie.
bool is_general(std::string_view brand) {
    return brand == "mif1" || brand == "msf1" || brand == "hevc" || brand == "hevx";
}

const char* fault_of(HeicFinding finding) {
    switch (finding) {
        case HeicFinding::readable:
            return "";
        case HeicFinding::damaged:
            return kCutShortPhoto;
        case HeicFinding::foreign:
            return "is a rare kind of HEIC; export it as JPEG";
        case HeicFinding::no_decoder:
            return "is a HEIC picture, and libheif has no decoder for it here (libde265); export it as JPEG";
    }
    return kCutShortPhoto;
}

}  // namespace

bool is_heic(std::string_view bytes) {
    const std::string_view major = major_brand(bytes);
    return is_still(major) || (is_general(major) && any_compatible(bytes, is_still));
}

bool is_avif_in_heif(std::string_view bytes) {
    return is_general(major_brand(bytes)) &&
           any_compatible(bytes, [](std::string_view brand) { return brand == "avif" || brand == "avis"; });
}

FileHeader heic_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::heic;
    header.lossy = true;
    const HeicHeader heic = heic_header_by_libheif(bytes);
    header.width = heic.width;
    header.height = heic.height;
    header.colours = heic.colours;
    header.fault = fault_of(heic.finding);
    // A coded picture is rounded up to whole blocks, or is a tile of which but a part is shown. More is a lie.
    constexpr std::int64_t kTile = std::int64_t{1} << 22;  // chosen: cameras use 512 x 512
    if (most_coded_pixels(bytes) > std::max(kTile, 2 * header.width * header.height)) header.fault = kCutShortPhoto;
    return header;
}

}  // namespace loopread
