#pragma once

#include <opencv2/core.hpp>
#include <vector>

/// What the separately loaded codecs offer; see photo/codecs.h.
extern "C" {
void loopread_codecs_decode(const cv::Mat& bytes, cv::Mat& picture);
bool loopread_codecs_encode_jpeg(const cv::Mat& picture, int quality, std::vector<unsigned char>& bytes);
}
