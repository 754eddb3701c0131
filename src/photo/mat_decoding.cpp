#include "photo/mat_decoding.h"

#include <algorithm>
#include <cstdint>
#include <iostream>
#include <limits>
#include <mutex>
#include <string>

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

#include "photo/codecs.h"
#include "photo/png.h"
#include "photo/tiff.h"

namespace loopread {
namespace {

/// OpenCV prints warnings and the exceptions it swallows (corrupt TIFFs, mostly) to std::cerr; the caller tells of the
/// fault in one line.
class QuietErrorStream {
public:
    QuietErrorStream() {
        const std::scoped_lock lock(changing_);
        if (quiet_++ == 0) kept_ = std::cerr.rdbuf(nullptr);
    }
    QuietErrorStream(const QuietErrorStream&) = delete;
    QuietErrorStream& operator=(const QuietErrorStream&) = delete;
    ~QuietErrorStream() {
        const std::scoped_lock lock(changing_);
        if (--quiet_ == 0) std::cerr.rdbuf(kept_);
    }

private:
    // Pictures are decoded on several threads at once, and the last to end gives the stream back.
    static inline std::mutex changing_;
    static inline int quiet_ = 0;
    static inline std::streambuf* kept_ = nullptr;
};

cv::Mat decoded_mat(std::string_view bytes) {
    const QuietErrorStream quiet;
    // The decoder takes no constant buffer, and only reads this one.
    const cv::Mat buffer(1, static_cast<int>(bytes.size()), CV_8UC1, const_cast<char*>(bytes.data()));
    return decoded_by_opencv(buffer);
}

/// Transparent where the grey is `key`, opaque elsewhere.
cv::Mat keyed(const cv::Mat& grey, int key) {
    cv::Mat alpha, colours;
    cv::Mat(grey != key).convertTo(alpha, grey.depth(), grey.depth() == CV_16U ? 257 : 1);
    cv::cvtColor(grey, colours, cv::COLOR_GRAY2BGRA);
    cv::insertChannel(alpha, colours, 3);
    return colours;
}

template <class Sample>
void divide_by_alpha(cv::Mat& mat) {
    constexpr int kHighest = std::numeric_limits<Sample>::max();
    for (int r = 0; r < mat.rows; ++r)
        for (Sample *p = mat.ptr<Sample>(r), *const end = p + 4 * mat.cols; p < end; p += 4)
            for (int channel = 0; channel < 3 && p[3] != 0; ++channel)
                p[channel] = static_cast<Sample>(
                    std::min<std::int64_t>(kHighest, (std::int64_t{p[channel]} * kHighest + p[3] / 2) / p[3]));
}

cv::Mat without_alpha(const cv::Mat& mat) {
    cv::Mat colours;
    cv::cvtColor(mat, colours, cv::COLOR_BGRA2BGR);
    return colours;
}

cv::Mat decoded_png(std::string_view bytes) {
    const cv::Mat mat = decoded_mat(bare_png(bytes));
    const std::optional<int> key = transparent_grey(bytes);
    return key && mat.channels() == 1 ? keyed(mat, *key) : mat;
}

void divide_by_alpha(cv::Mat& mat) {
    if (mat.depth() == CV_8U) divide_by_alpha<std::uint8_t>(mat);
    if (mat.depth() == CV_16U) divide_by_alpha<std::uint16_t>(mat);
}

cv::Mat decoded_tiff(std::string_view bytes) {
    cv::Mat mat = decoded_mat(unturned_tiff(bytes));
    const TiffSamples samples = tiff_samples(bytes);
    if (samples.white_is_zero_left) cv::bitwise_not(mat, mat);
    if (mat.channels() != 4) return mat;
    if (samples.alpha == AlphaKind::none) return without_alpha(mat);
    if (samples.alpha == AlphaKind::premultiplied) divide_by_alpha(mat);
    return mat;
}

cv::Mat decoded_bmp(std::string_view bytes) {
    const cv::Mat mat = decoded_mat(bytes);
    return mat.channels() == 4 && !bmp_has_alpha(bytes) ? without_alpha(mat) : mat;
}

cv::Mat decoded_heic(std::string_view bytes) {
    DecodedHeic decoded = decoded_by_libheif(bytes);
    if (decoded.colours == Premultiplied::yes && decoded.picture.channels() == 4) divide_by_alpha(decoded.picture);
    return decoded.picture;
}

cv::Mat decoded_of_format(std::string_view bytes, PictureFormat format) {
    switch (format) {
        case PictureFormat::png:
            return decoded_png(bytes);
        case PictureFormat::tiff:
            return decoded_tiff(bytes);
        case PictureFormat::bmp:
            return decoded_bmp(bytes);
        case PictureFormat::heic:
            return decoded_heic(bytes);
        case PictureFormat::webp:
        case PictureFormat::jpeg:
            break;
    }
    return decoded_mat(bytes);
}

/// OpenCV has two ways to fail: an empty Mat and an exception. Both become the empty Mat.
cv::Mat decoded_or_empty(std::string_view bytes, PictureFormat format) {
    try {
        return decoded_of_format(bytes, format);
    } catch (const cv::Exception& fault) {
        if (fault.code == cv::Error::StsNoMem) throw std::bad_alloc();
        return {};
    }
}

}  // namespace

Decoding decode_as_mat(std::string_view bytes, const FileHeader& header, const RowSink& sink) {
    const cv::Mat mat = decoded_or_empty(bytes, header.format);
    const bool known = mat.depth() == CV_8U || mat.depth() == CV_16U;
    const bool promised = mat.cols == header.width && mat.rows == header.height;
    if (mat.empty() || !known || !promised) return Decoding::damaged;
    const SampleDepth depth = mat.depth() == CV_16U ? SampleDepth::bits_16 : SampleDepth::bits_8;
    for (int r = 0; r < mat.rows; ++r) sink({mat.ptr(r), mat.cols, mat.channels(), depth});
    return Decoding::complete;
}

}  // namespace loopread
