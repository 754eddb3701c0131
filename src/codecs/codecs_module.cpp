#include "photo/codecs_module.h"

#include <opencv2/imgcodecs.hpp>

void loopread_codecs_decode(const cv::Mat& bytes, cv::Mat& picture) {
    picture = cv::imdecode(bytes, cv::IMREAD_UNCHANGED);
}

bool loopread_codecs_encode_jpeg(const cv::Mat& picture, int quality, std::vector<unsigned char>& bytes) {
    return cv::imencode(".jpg", picture, bytes, {cv::IMWRITE_JPEG_QUALITY, quality});
}
