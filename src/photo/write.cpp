#include "loopread/photo/write.h"

#include <png.h>

#include <csetjmp>
#include <new>
#include <opencv2/core.hpp>
#include <vector>

#include "loopread/base/error.h"
#include "photo/codecs.h"
#include "photo/opencv_memory.h"

namespace loopread {
namespace {

// chosen: rows of a picture of ours mostly repeat the row above, so that this filter alone is both the fastest and
// within a few percent of the smallest
constexpr int kPngFilter = PNG_FILTER_UP;
constexpr int kPngCompression = 1;

[[noreturn]] void too_large(const Picture8& picture, const std::string& kind) {
    throw Error(ErrorKind::output, "picture of " + std::to_string(picture.columns()) + " x " +
                                       std::to_string(picture.rows()) + " pixels: cannot be made into a " + kind +
                                       "; ask for a smaller one");
}

void append_bytes(png_structp png, png_bytep bytes, std::size_t count) {
    static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(bytes), count);
}
void flush_nothing(png_structp) {}
void say_nothing(png_structp, png_const_charp) {}

/// libpng leaves by longjmp, so nothing with a destructor lives in this frame.
bool written(png_structp png, png_infop info, const Picture8& picture) {
    if (setjmp(png_jmpbuf(png))) return false;
    png_set_IHDR(png, info, static_cast<png_uint_32>(picture.columns()), static_cast<png_uint_32>(picture.rows()), 8,
                 PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_sRGB(png, info, PNG_sRGB_INTENT_RELATIVE);
    png_set_filter(png, PNG_FILTER_TYPE_BASE, kPngFilter);
    png_set_compression_level(png, kPngCompression);
    png_write_info(png, info);
    static_assert(sizeof(Srgb8) == 3, "pixels lie as the file stores them");
    for (int row = 0; row < picture.rows(); ++row)
        png_write_row(png, reinterpret_cast<png_const_bytep>(picture.row(row)));
    png_write_end(png, info);
    return true;
}

/// As OpenCV has its pictures.
cv::Mat blue_first(const Picture8& picture) {
    cv::Mat mat(picture.rows(), picture.columns(), CV_8UC3);
    for (int r = 0; r < mat.rows; ++r) {
        unsigned char* out = mat.ptr(r);
        for (const Srgb8 *p = picture.row(r), *const end = p + mat.cols; p < end; ++p) {
            *out++ = p->b;
            *out++ = p->g;
            *out++ = p->r;
        }
    }
    return mat;
}

}  // namespace

std::string png_bytes(const Picture8& picture) {
    require(!picture.empty(), "a picture has pixels");
    std::string bytes;
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, say_nothing);
    png_infop info = png == nullptr ? nullptr : png_create_info_struct(png);
    if (info == nullptr) {
        png_destroy_write_struct(&png, nullptr);
        throw std::bad_alloc();
    }
    png_set_write_fn(png, &bytes, append_bytes, flush_nothing);
    const bool done = written(png, info, picture);
    png_destroy_write_struct(&png, &info);
    if (!done) too_large(picture, "PNG");
    return bytes;
}

std::string jpeg_bytes(const Picture8& picture, int quality) {
    require(!picture.empty() && quality >= 1 && quality <= 100, "a picture has pixels and a quality");
    std::vector<unsigned char> bytes;
    bool encoded = false;
    try {
        encoded = with_memory_told([&] { return encoded_jpeg_by_opencv(blue_first(picture), quality, bytes); });
    } catch (const cv::Exception&) {
        encoded = false;
    }
    if (!encoded) too_large(picture, "JPEG");
    return {bytes.begin(), bytes.end()};
}

}  // namespace loopread
