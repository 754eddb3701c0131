#pragma once

// Picture files made byte by byte, so that every trap in them is visible in the test.

#include <unistd.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>  // jpeglib.h needs FILE declared
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <jpeglib.h>
#include <opencv2/imgcodecs.hpp>

namespace loopread::picture_files {

/// A folder of its own that goes away with the object.
class Folder {
public:
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "loopread_photo_XXXXXX").string();
        if (mkdtemp(name.data()) != nullptr) path_ = name;
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    std::filesystem::path file(const std::string& name, std::string_view bytes) const {
        std::ofstream(path_ / name, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        return path_ / name;
    }
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

/// What reaches the process's standard error, by any way, while `act` runs.
template <class Act>
std::string printed_errors(const Folder& folder, const Act& act) {
    const std::filesystem::path file = folder.path() / "stderr.txt";
    std::fflush(stderr);
    const int kept = dup(2);
    std::FILE* const target = std::fopen(file.c_str(), "wb");
    dup2(fileno(target), 2);
    act();
    std::fflush(stderr);
    dup2(kept, 2);
    close(kept);
    std::fclose(target);
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

enum class Order { big, little };

inline std::string number(std::uint64_t value, int bytes, Order order) {
    std::string text;
    for (int i = 0; i < bytes; ++i) {
        const int shift = 8 * (order == Order::big ? bytes - 1 - i : i);
        text += static_cast<char>(value >> shift & 0xFF);
    }
    return text;
}

inline std::string text_of(const std::vector<unsigned char>& bytes) {
    return {bytes.begin(), bytes.end()};
}

/// 8-bit codes as red, green, blue, alpha; the first `channels` of them are stored.
struct Code {
    int r = 0, g = 0, b = 0, a = 255;
    int channel(int i) const { return i == 0 ? r : i == 1 ? g : i == 2 ? b : a; }
};

/// Three columns, two rows, all different, so that no turn or flip maps it on itself.
inline const std::vector<Code>& pattern() {
    static const std::vector<Code> codes = {{200, 100, 50, 128}, {10, 20, 30, 0}, {250, 0, 90, 255},
                                            {1, 2, 3, 64},       {9, 8, 7, 255},  {60, 70, 80, 255}};
    return codes;
}

inline cv::Mat pattern_mat(int channels) {
    cv::Mat mat(2, 3, CV_8UC(channels));
    for (int i = 0; i < 6; ++i)
        for (int k = 0; k < channels; ++k) {
            const Code& code = pattern()[static_cast<std::size_t>(i)];
            mat.ptr(i / 3)[i % 3 * channels + k] = static_cast<unsigned char>(code.channel(k < 3 ? 2 - k : 3));
        }
    return mat;
}

// ---- EXIF

/// A TIFF directory with an orientation and, if named, a Make.
inline std::string exif(int orientation, Order order, const std::string& make = {}) {
    std::string ifd = order == Order::big ? std::string("MM\0*", 4) : std::string("II*\0", 4);
    ifd += number(8, 4, order) + number(make.empty() ? 1 : 2, 2, order);
    const std::size_t end = 8 + 2 + 12 * (make.empty() ? 1 : 2) + 4;
    if (!make.empty())
        ifd +=
            number(0x10F, 2, order) + number(2, 2, order) + number(make.size() + 1, 4, order) + number(end, 4, order);
    ifd += number(0x112, 2, order) + number(3, 2, order) + number(1, 4, order);
    ifd += number(static_cast<std::uint64_t>(orientation), 2, order) + std::string(2, '\0') + std::string(4, '\0');
    return make.empty() ? ifd : ifd + make + '\0';
}

// ---- PNG

inline std::uint32_t crc(std::string_view bytes) {
    std::uint32_t sum = 0xFFFFFFFFU;
    for (const char c : bytes) {
        sum ^= static_cast<unsigned char>(c);
        for (int bit = 0; bit < 8; ++bit) sum = (sum >> 1) ^ ((sum & 1) * 0xEDB88320U);
    }
    return ~sum;
}

inline std::string chunk(const std::string& name, const std::string& data) {
    return number(data.size(), 4, Order::big) + name + data + number(crc(name + data), 4, Order::big);
}

/// A zlib stream that stores its bytes as they are; under 65,536 of them.
inline std::string stored_zlib(const std::string& data) {
    std::uint32_t a = 1, b = 0;
    for (const char c : data) {
        a = (a + static_cast<unsigned char>(c)) % 65521;
        b = (b + a) % 65521;
    }
    return std::string("\x78\x01\x01", 3) + number(data.size(), 2, Order::little) +
           number(~data.size() & 0xFFFF, 2, Order::little) + data + number(b << 16 | a, 4, Order::big);
}

struct PngShape {
    int width = 1, height = 1, depth = 8, colour = 2;
};

inline std::string ihdr(const PngShape& shape) {
    const auto byte = [](int value) { return std::string(1, static_cast<char>(value)); };
    return chunk("IHDR", number(static_cast<std::uint64_t>(shape.width), 4, Order::big) +
                             number(static_cast<std::uint64_t>(shape.height), 4, Order::big) + byte(shape.depth) +
                             byte(shape.colour) + std::string(3, '\0'));
}

inline constexpr std::string_view kPngSignature = "\x89PNG\r\n\x1a\n";

/// @param rows    the bytes of each row, unfiltered
/// @param before  chunks between header and pixels
inline std::string png(const PngShape& shape, const std::vector<std::string>& rows, const std::string& before = {}) {
    std::string raw;
    for (const std::string& row : rows) raw += '\0' + row;
    return std::string(kPngSignature) + ihdr(shape) + before + chunk("IDAT", stored_zlib(raw)) + chunk("IEND", "");
}

inline std::string pattern_png(const std::string& before = {}) {
    std::vector<std::string> rows(2);
    for (std::size_t i = 0; i < 6; ++i)
        for (int k = 0; k < 3; ++k) rows[i / 3] += static_cast<char>(pattern()[i].channel(k));
    return png({3, 2, 8, 2}, rows, before);
}

// ---- TIFF, uncompressed, one strip

struct TiffShape {
    int depth = 8, channels = 3, photometric = 2, extra_samples = -1, orientation = 1;
    Order order = Order::little;
};

inline std::string tiff_entry(int tag, int value, Order order, int count = 1) {
    return number(static_cast<std::uint64_t>(tag), 2, order) + number(3, 2, order) +
           number(static_cast<std::uint64_t>(count), 4, order) + number(static_cast<std::uint64_t>(value), 2, order) +
           std::string(2, '\0');
}

inline std::string pattern_tiff(const TiffShape& shape) {
    const Order order = shape.order;
    std::string pixels;
    for (const Code& code : pattern())
        for (int k = 0; k < shape.channels; ++k)
            pixels += number(static_cast<std::uint64_t>(code.channel(k)) * (shape.depth == 16 ? 257 : 1),
                             shape.depth / 8, order);
    std::string depths;
    for (int k = 0; k < shape.channels; ++k) depths += number(static_cast<std::uint64_t>(shape.depth), 2, order);
    const std::size_t depths_at = 8 + pixels.size(), ifd_at = depths_at + depths.size();
    const bool many = shape.channels > 2;
    std::vector<std::string> entries = {tiff_entry(256, 3, order), tiff_entry(257, 2, order)};
    entries.push_back(many ? tiff_entry(258, static_cast<int>(depths_at), order, shape.channels)
                           : tiff_entry(258, shape.depth, order));
    if (many) entries.back().replace(8, 4, number(depths_at, 4, order));
    entries.push_back(tiff_entry(259, 1, order));
    entries.push_back(tiff_entry(262, shape.photometric, order));
    entries.push_back(tiff_entry(273, 8, order));
    entries.push_back(tiff_entry(274, shape.orientation, order));
    entries.push_back(tiff_entry(277, shape.channels, order));
    entries.push_back(tiff_entry(278, 2, order));
    entries.push_back(tiff_entry(279, static_cast<int>(pixels.size()), order));
    if (shape.extra_samples >= 0) entries.push_back(tiff_entry(338, shape.extra_samples, order));
    std::string file = order == Order::big ? std::string("MM\0*", 4) : std::string("II*\0", 4);
    file += number(ifd_at, 4, order) + pixels + depths + number(entries.size(), 2, order);
    for (const std::string& entry : entries) file += entry;
    return file + std::string(4, '\0');
}

// ---- WebP

/// The lossless picture, in the extended form if there is an EXIF directory to go with it.
inline std::string webp(const cv::Mat& mat, const std::string& exif_data = {}) {
    std::vector<unsigned char> bytes;
    cv::imencode(".webp", mat, bytes, {cv::IMWRITE_WEBP_QUALITY, 101});  // over 100 asks for lossless
    std::string plain = text_of(bytes);
    if (exif_data.empty()) return plain;
    const auto part = [](const std::string& name, const std::string& data) {
        return name + number(data.size(), 4, Order::little) + data + std::string(data.size() % 2, '\0');
    };
    constexpr int kHasExif = 0x08;
    const std::string canvas = number(kHasExif, 4, Order::little) +
                               number(static_cast<std::uint64_t>(mat.cols - 1), 3, Order::little) +
                               number(static_cast<std::uint64_t>(mat.rows - 1), 3, Order::little);
    const std::string body = "WEBP" + part("VP8X", canvas) + plain.substr(12) + part("EXIF", exif_data);
    return "RIFF" + number(body.size(), 4, Order::little) + body;
}

// ---- BMP, 32 bits, bottom row first

enum class BmpAlpha { undeclared, masks_without_alpha, declared };

inline std::string pattern_bmp(BmpAlpha alpha) {
    const std::size_t header = alpha == BmpAlpha::declared ? 108 : 40;
    const auto le = [](std::uint64_t value, int bytes) { return number(value, bytes, Order::little); };
    std::string info = le(header, 4) + le(3, 4) + le(2, 4) + le(1, 2) + le(32, 2);
    info += le(alpha == BmpAlpha::undeclared ? 0 : 3, 4) + le(24, 4) + std::string(16, '\0');
    if (alpha != BmpAlpha::undeclared) info += le(0xFF0000, 4) + le(0xFF00, 4) + le(0xFF, 4);
    if (alpha == BmpAlpha::declared) info += le(0xFF000000, 4);
    info.resize(std::max(header, info.size()), '\0');
    std::string pixels;
    for (const std::size_t i : {3U, 4U, 5U, 0U, 1U, 2U})
        for (const int k : {2, 1, 0, 3}) pixels += static_cast<char>(pattern()[i].channel(k));
    return "BM" + le(14 + info.size() + pixels.size(), 4) + le(0, 4) + le(14 + info.size(), 4) + info + pixels;
}

// ---- JPEG

struct JpegShape {
    int quality = 95;
    bool progressive = false;
    std::string exif_data;
};

/// @param mat  1 channel, 3 (blue, green, red) or 4 (stored as CMYK)
inline std::string jpeg(const cv::Mat& mat, const JpegShape& shape = {}) {
    jpeg_compress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    jpeg_create_compress(&info);
    unsigned char* bytes = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&info, &bytes, &size);
    info.image_width = static_cast<unsigned>(mat.cols);
    info.image_height = static_cast<unsigned>(mat.rows);
    info.input_components = mat.channels();
    info.in_color_space = mat.channels() == 1 ? JCS_GRAYSCALE : mat.channels() == 3 ? JCS_EXT_BGR : JCS_CMYK;
    jpeg_set_defaults(&info);
    jpeg_set_quality(&info, shape.quality, TRUE);
    if (shape.progressive) jpeg_simple_progression(&info);
    jpeg_start_compress(&info, TRUE);
    const std::string marker = std::string("Exif\0\0", 6) + shape.exif_data;
    if (!shape.exif_data.empty())
        jpeg_write_marker(&info, JPEG_APP0 + 1, reinterpret_cast<const unsigned char*>(marker.data()),
                          static_cast<unsigned>(marker.size()));
    for (int r = 0; r < mat.rows; ++r) {
        JSAMPROW row = const_cast<unsigned char*>(mat.ptr(r));
        jpeg_write_scanlines(&info, &row, 1);
    }
    jpeg_finish_compress(&info);
    jpeg_destroy_compress(&info);
    std::string file(reinterpret_cast<char*>(bytes), size);
    std::free(bytes);
    return file;
}

}  // namespace loopread::picture_files
