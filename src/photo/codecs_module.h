#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <string_view>
#include <vector>

#include "photo/colour_tags.h"

namespace loopread {

enum class HeicFinding {
    readable,
    damaged,
    foreign,
    no_decoder,  ///< libheif may be installed without one for HEVC
};

/// What libheif finds in the boxes of a HEIC, before a pixel is decoded.
struct HeicHeader {
    HeicFinding finding = HeicFinding::damaged;
    std::int64_t width = 0, height = 0;  ///< of the first picture, upright
    ColourTags colours;
};

enum class Premultiplied { no, yes };

}  // namespace loopread

/// What the separately loaded codecs offer; see photo/codecs.h.
extern "C" {
void loopread_codecs_decode(const cv::Mat& bytes, cv::Mat& picture);
bool loopread_codecs_encode_jpeg(const cv::Mat& picture, int quality, std::vector<unsigned char>& bytes);
void loopread_codecs_heic_header(const std::string_view& bytes, loopread::HeicHeader& header);
void loopread_codecs_decode_heic(const std::string_view& bytes, cv::Mat& picture, loopread::Premultiplied& colours);
}
