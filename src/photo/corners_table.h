#pragma once

#include <algorithm>
#include <opencv2/core.hpp>
#include <vector>

#include "loopread/image/image.h"

/// The steps of found_corners.
namespace loopread::corner_search {

/// The picture made small, to be looked at.
struct Work {
    cv::Mat3f light;
    cv::Mat3f oklab;
    double scale_x = 1, scale_y = 1;  ///< picture pixels a pixel
    int longer() const { return std::max(light.rows, light.cols); }
};
Work worked_on(const Image& picture);

double median(std::vector<double> values);
/// Tukey's biweight of a residual in units of where it ends.
double biweight(double miss);

constexpr int kTerms = 6;  // 1, x, y, x^2, xy, y^2
/// OKLab over the picture, where x and y are -1..1.
using Surface = cv::Matx<double, kTerms, 3>;

struct Table {
    Surface surface;
    cv::Vec3d noise;
    double of_frame = 0;  ///< the part of the picture's frame that is table
};
/// Seeds at the frame, then everything that hangs together with it.
Table found_table(const Work& work);

constexpr double kSeen = 6;  // times the noise: this is not table

/// How unlike the table each pixel is, in units of the table's noise.
struct Unlikeness {
    cv::Mat1f plain;     ///< from the table in full light
    cv::Mat1f unshaded;  ///< from the table in any light down to half of it
    cv::Mat3f misses;    ///< channel by channel, with its sign, from the table in full light
};
Unlikeness unlikeness(const Work& work, const Surface& table, const cv::Vec3d& noise);

}  // namespace loopread::corner_search
