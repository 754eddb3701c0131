#include "loopread/photo/srgb_profile.h"

#include <lcms2.h>
#include <zlib.h>

#include <cstdint>
#include <string_view>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr std::string_view kPngStart{"\x89PNG\r\n\x1a\n", 8};
constexpr std::size_t kPngHeader = 8 + 25;  // start and IHDR
constexpr std::string_view kJpegStart{"\xff\xd8\xff\xe0", 4};

void append_big_endian(std::string& bytes, std::uint32_t value) {
    for (int shift = 24; shift >= 0; shift -= 8) bytes += static_cast<char>(value >> shift & 255U);
}

std::uint32_t big_endian(const std::string& bytes, std::size_t at, std::size_t count) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < count; ++i) value = value << 8 | static_cast<unsigned char>(bytes.at(at + i));
    return value;
}

void name_profile(cmsHPROFILE profile) {
    cmsMLU* name = cmsMLUalloc(nullptr, 1);
    cmsMLUsetASCII(name, "en", "US", "sRGB IEC61966-2.1");
    cmsWriteTag(profile, cmsSigProfileDescriptionTag, name);
    cmsMLUfree(name);
}

std::string made_profile() {
    cmsHPROFILE profile = cmsCreate_sRGBProfile();
    require(profile != nullptr, "lcms2 makes an sRGB profile");
    name_profile(profile);
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(profile, nullptr, &size);
    std::string bytes(size, '\0');
    const bool saved = cmsSaveProfileToMem(profile, bytes.data(), &size) != 0;
    cmsCloseProfile(profile);
    require(saved, "a profile can be written to memory");
    // The day it was made [ICC 1:2010, 7.2.8] would differ from run to run.
    constexpr std::string_view kFixedDay("\x07\xcf\x00\x0a\x00\x12\x00\x00\x00\x00\x00\x00", 12);  // 1999-10-18
    bytes.replace(24, kFixedDay.size(), kFixedDay);
    return bytes;
}

std::string png_chunk(std::string_view type, const std::string& data) {
    const std::string checked = std::string(type) + data;
    std::string chunk;
    append_big_endian(chunk, static_cast<std::uint32_t>(data.size()));
    chunk += checked;
    append_big_endian(chunk, static_cast<std::uint32_t>(crc32(0, reinterpret_cast<const Bytef*>(checked.data()),
                                                              static_cast<uInt>(checked.size()))));
    return chunk;
}

std::string packed(const std::string& bytes) {
    uLongf size = compressBound(static_cast<uLong>(bytes.size()));
    std::string out(size, '\0');
    const int done = compress(reinterpret_cast<Bytef*>(out.data()), &size, reinterpret_cast<const Bytef*>(bytes.data()),
                              static_cast<uLong>(bytes.size()));
    require(done == Z_OK, "a profile can be packed");
    out.resize(size);
    return out;
}

/// A PNG says sRGB by a short mark or by a profile, not by both [PNG 2003, 11.3.3.3].
std::string profiled_png(std::string file) {
    const std::size_t length = big_endian(file, kPngHeader, 4);
    if (file.compare(kPngHeader + 4, 4, "sRGB") == 0) file.erase(kPngHeader, 12 + length);
    require(file.compare(kPngHeader + 4, 4, "iCCP") != 0, "the picture carries no profile yet");
    const std::string data = std::string("sRGB") + '\0' + '\0' + packed(srgb_profile());
    return file.insert(kPngHeader, png_chunk("iCCP", data));
}

std::string profiled_jpeg(std::string file) {
    const std::size_t after_jfif = 4 + big_endian(file, 4, 2);
    const bool app2 = big_endian(file, after_jfif, 2) == 0xffe2;
    require(!app2, "the picture carries no profile yet");
    std::string marker("\xff\xe2", 2);
    const std::string data = std::string("ICC_PROFILE") + '\0' + "\x01\x01" + srgb_profile();
    const std::size_t length = data.size() + 2;
    require(length <= 0xffff, "the profile fits one marker");
    marker += static_cast<char>(length >> 8);
    marker += static_cast<char>(length & 255U);
    return file.insert(after_jfif, marker + data);
}

}  // namespace

const std::string& srgb_profile() {
    static const std::string profile = made_profile();
    return profile;
}

std::string with_srgb_profile(const std::string& picture_file) {
    if (picture_file.compare(0, kPngStart.size(), kPngStart) == 0) return profiled_png(picture_file);
    require(picture_file.compare(0, kJpegStart.size(), kJpegStart) == 0, "a PNG or JPEG file of ours");
    return profiled_jpeg(picture_file);
}

}  // namespace loopread
