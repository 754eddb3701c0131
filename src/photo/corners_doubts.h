#pragma once

#include <string>

#include "photo/corners_edges.h"

namespace loopread::corner_search {

BlankCorners refused(const std::string& fault);

/// The corners in the picture's own pixels, or the first reason not to believe them.
BlankCorners judged(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Fit& fit);

}  // namespace loopread::corner_search
