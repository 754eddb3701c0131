#include "bench/inputs.h"

#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

namespace loopread::bench {
namespace {

/// @param deviation  standard deviation in codes
cv::Mat with_grain(const cv::Mat& picture, double deviation, unsigned seed) {
    cv::Mat grain(picture.size(), CV_16SC3), sum, out;
    cv::theRNG().state = seed;
    cv::randn(grain, 0, deviation);
    picture.convertTo(sum, CV_16SC3);
    sum += grain;
    sum.convertTo(out, CV_8UC3);
    return out;
}

void write_jpeg(const cv::Mat& picture, const std::string& jpeg) {
    cv::imwrite(jpeg, picture, {cv::IMWRITE_JPEG_QUALITY, 92});
}

}  // namespace

void write_large_design(const std::string& design, const std::string& jpeg) {
    cv::Mat large;
    cv::resize(cv::imread(design), large, cv::Size(1830, 6557), 0, 0, cv::INTER_CUBIC);
    write_jpeg(with_grain(large, 12, 1), jpeg);
}

void write_large_photo(const std::string& photo, unsigned seed, const std::string& jpeg) {
    const cv::Mat small = cv::imread(photo);
    const double factor = std::sqrt(12e6 / (static_cast<double>(small.cols) * small.rows));
    cv::Mat large;
    cv::resize(small, large, cv::Size(), factor, factor, cv::INTER_CUBIC);
    write_jpeg(seed == 0 ? large : with_grain(large, 3, seed), jpeg);
}

}  // namespace loopread::bench
