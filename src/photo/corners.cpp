#include "loopread/photo/corners.h"

#include <opencv2/imgproc.hpp>
#include <vector>

#include "photo/corners_doubts.h"
#include "photo/corners_edges.h"
#include "photo/corners_long_sides.h"
#include "photo/corners_pieces.h"
#include "photo/corners_table.h"
#include "photo/opencv_memory.h"

namespace loopread {
namespace {

using namespace corner_search;

constexpr int kSmallestSide = 80;

BlankCorners corners_of_piece(const Work& work, const Unlikeness& unlike, const cv::Mat1b& seen, const Piece& piece) {
    if (touches_frame(piece)) return refused("the blank is cut off by the picture's edge");
    const Axes axes = axes_of(piece);
    const LongSides sides = long_sides(piece, seen, axes);
    if (sides.bodies == 0) return refused("no blank with four straight edges found");
    if (sides.bodies > 1)
        return refused("more than one piece lies in line, or paint of the table's colour parts the blank");
    const auto point = [&](const Line& line, double s) { return axes.point(s, line(s)); };
    const Corners start = upright_order({point(sides.low, sides.first), point(sides.low, sides.last),
                                         point(sides.high, sides.last), point(sides.high, sides.first)});
    if (fault_of(start, work.light.cols, work.light.rows)) return refused("no blank with four straight edges found");
    return judged(work, unlike, piece.mask, refined(work, unlike, piece.mask, start));
}

BlankCorners corners_in(const Image& upright) {
    const Work work = worked_on(upright);
    const Table table = found_table(work);
    if (table.of_frame < 0.6) return refused("the table is not plain, or the blank is cut off by the picture's edge");
    const Unlikeness unlike = unlikeness(work, table.surface, table.noise);
    cv::Mat1b seen;
    cv::compare(unlike.unshaded, kSeen, seen, cv::CMP_GE);
    const std::vector<Piece> pieces = pieces_of(seen, work.longer());
    if (pieces.empty() || pieces[0].area < 0.03 * static_cast<double>(seen.total()))
        return refused("no blank found that stands out from the table");
    // chosen: a grey card or a ruler may lie there too
    if (pieces.size() > 1 && pieces[1].area > 0.3 * pieces[0].area)
        return refused("more than one piece lies on the table");
    return corners_of_piece(work, unlike, seen, pieces[0]);
}

}  // namespace

BlankCorners found_corners(const Image& upright) {
    if (upright.rows() < kSmallestSide || upright.columns() < kSmallestSide)
        return refused("the picture is too small to find a blank in");
    return with_memory_told([&] { return corners_in(upright); });
}

}  // namespace loopread
