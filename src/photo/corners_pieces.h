#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "loopread/photo/corners.h"

namespace loopread::corner_search {

/// Something that lies on the table.
struct Piece {
    cv::Mat1b mask;
    double area = 0;
    cv::Rect box;
};

/// Pieces without holes and without threads, the largest first.
std::vector<Piece> pieces_of(const cv::Mat1b& seen, int longer);

/// Much of it lies at the picture's edge.
bool touches_frame(const Piece& piece);

bool is_set(const cv::Mat1b& mask, PhotoPoint p);

}  // namespace loopread::corner_search
