#pragma once

#include <opencv2/core.hpp>
#include <string_view>
#include <vector>

#include "photo/codecs_module.h"

namespace loopread {

/// OpenCV's picture codecs and libheif, loaded when the first picture needs them: they bring some 120 libraries, which
/// take longer to load than a small JPEG to decode, and JPEGs are read and PNGs written without them.
/// @return  as cv::imdecode with IMREAD_UNCHANGED; empty if it cannot be decoded
/// @throws cv::Exception as there; contract: the codecs lie where the program was built or installed
cv::Mat decoded_by_opencv(const cv::Mat& bytes);

/// As cv::imencode to JPEG; false if it cannot be encoded.
bool encoded_jpeg_by_opencv(const cv::Mat& picture, int quality, std::vector<unsigned char>& bytes);

HeicHeader heic_header_by_libheif(std::string_view bytes);

/// The upright picture, 8 or 16 bits; empty if it cannot be decoded.
struct DecodedHeic {
    cv::Mat picture;
    Premultiplied colours = Premultiplied::no;
};
DecodedHeic decoded_by_libheif(std::string_view bytes);

}  // namespace loopread
