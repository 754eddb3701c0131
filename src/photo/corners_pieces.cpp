#include "photo/corners_pieces.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace loopread::corner_search {

std::vector<Piece> pieces_of(const cv::Mat1b& seen, int longer) {
    // Threads first, as one that comes back to the blank would be filled up with what it encloses.
    const auto disc = [](int size) { return cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}); };
    cv::Mat1b mask;
    cv::morphologyEx(seen, mask, cv::MORPH_OPEN, disc(2 * std::max(2, longer / 200) + 1));
    cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, disc(5));
    std::vector<std::vector<cv::Point>> outlines;
    cv::findContours(mask, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    cv::drawContours(mask, outlines, -1, cv::Scalar(255), cv::FILLED);
    cv::morphologyEx(mask, mask, cv::MORPH_OPEN, disc(2 * std::max(2, longer / 140) + 1));  // chosen: tangles, no strip
    cv::Mat labels, stats, middles;
    const int count = cv::connectedComponentsWithStats(mask, labels, stats, middles, 8, CV_32S);
    std::vector<Piece> pieces;
    for (int i = 1; i < count; ++i) {
        Piece piece;
        piece.area = stats.at<int>(i, cv::CC_STAT_AREA);
        piece.box = {stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                     stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)};
        if (piece.area < 0.0005 * static_cast<double>(mask.total())) continue;
        piece.mask = labels == i;
        pieces.push_back(piece);
    }
    std::stable_sort(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) { return a.area > b.area; });
    return pieces;
}

bool touches_frame(const Piece& piece) {
    const cv::Mat1b& m = piece.mask;
    int touching = 0;
    for (int c = 0; c < m.cols; ++c) touching += (m(0, c) != 0) + (m(m.rows - 1, c) != 0);
    for (int r = 0; r < m.rows; ++r) touching += (m(r, 0) != 0) + (m(r, m.cols - 1) != 0);
    return touching > 0.04 * std::sqrt(piece.area);
}

bool is_set(const cv::Mat1b& mask, PhotoPoint p) {
    return p.x >= 0 && p.y >= 0 && p.x < mask.cols && p.y < mask.rows &&
           mask(static_cast<int>(p.y), static_cast<int>(p.x)) != 0;
}

}  // namespace loopread::corner_search
