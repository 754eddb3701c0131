#include "loopread/blank/edges.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "loopread/image/sampling.h"

using namespace loopread;

namespace {

constexpr int kStitches = 10, kRows = 12, kAcross = 8, kAlong = 6;

/// Every stitch of a colour of its own.
Image flat_blank() {
    Image out(kRows * kAlong, kStitches * kAcross);
    for (int r = 0; r < out.rows(); ++r)
        for (int c = 0; c < out.columns(); ++c) {
            const int stitch = c / kAcross, row = r / kAlong;
            out(r, c) = {0.40 + 0.01 * (stitch * 7 % 5), 0.40 + 0.006 * (row * 3 % 7), 0.4};
        }
    return out;
}

/// Darkened from the left edge in over so many stitches.
Image curled_left(Image picture, double stitches) {
    for (int r = 0; r < picture.rows(); ++r)
        for (int c = 0; c < picture.columns(); ++c)
            if (c + 0.5 < stitches * kAcross) picture(r, c) = picture(r, c) * 0.75;
    return picture;
}

double largest_miss(const Image& a, const Image& b, int first_column, int last_column) {
    double miss = 0;
    for (int r = 0; r < a.rows(); ++r)
        for (int c = first_column; c < last_column; ++c)
            miss = std::max({miss, std::abs(a(r, c).r - b(r, c).r), std::abs(a(r, c).g - b(r, c).g)});
    return miss;
}

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("a blank that lies flat is read as it is") {
        const EdgesReadInside read = edges_read_inside(flat_blank(), kStitches, kRows);
        CHECK_FALSE(read.curled.any());
        CHECK(read.picture == flat_blank());
    }

    TEST_CASE("half a stitch that curls is read from its inner half, and nothing is lost") {
        const EdgesReadInside read = edges_read_inside(curled_left(flat_blank(), 0.5), kStitches, kRows);
        CHECK_FALSE(read.curled.any());
        CHECK(read.picture == flat_blank());
    }

    TEST_CASE("a whole stitch that curls takes the next one's colours, and only there") {
        const EdgesReadInside read = edges_read_inside(curled_left(flat_blank(), 1), kStitches, kRows);
        CHECK(read.curled.left);
        CHECK_FALSE((read.curled.right || read.curled.top || read.curled.bottom));
        CHECK(largest_miss(read.picture, flat_blank(), kAcross, kStitches * kAcross) == 0);
        for (int r = 0; r < kRows * kAlong; ++r)
            CHECK(read.picture(r, 2) ==
                  read.picture(r, kAcross + kAcross / 2));  // a colour a stitch: any pixel will do
    }

    TEST_CASE("each edge is told by its own name") {
        const auto curled = [](QuarterTurn turn) {
            const bool across = turn == QuarterTurn::none || turn == QuarterTurn::clockwise_180;
            const Image picture = turned(curled_left(flat_blank(), 1), turn);
            return edges_read_inside(picture, across ? kStitches : kRows, across ? kRows : kStitches).curled;
        };
        CHECK(curled(QuarterTurn::none).left);
        CHECK(curled(QuarterTurn::clockwise_90).top);
        CHECK(curled(QuarterTurn::clockwise_180).right);
        CHECK(curled(QuarterTurn::clockwise_270).bottom);
    }

    TEST_CASE("a paler underside that shows at painted places only is a curl too") {
        Image picture = flat_blank();
        for (int r = 0; r < picture.rows() / 3; ++r)
            for (int c = 0; c < 4 * kAcross; ++c)
                picture(r, c) = c < kAcross ? LinearRgb{0.5, 0.3, 0.3} : LinearRgb{0.4, 0.05, 0.05};
        const EdgesReadInside read = edges_read_inside(picture, kStitches, kRows);
        CHECK(read.curled.left);
        CHECK(read.picture(3, 0) == picture(3, kAcross));
    }

    TEST_CASE("a dark motif at the edge is no curl") {
        Image picture = flat_blank();
        for (int r = 0; r < picture.rows() / 2; ++r)
            for (int c = 0; c < 2 * kAcross; ++c) picture(r, c) = {0.02, 0.02, 0.1};
        const EdgesReadInside read = edges_read_inside(picture, kStitches, kRows);
        CHECK_FALSE(read.curled.any());
        CHECK(read.picture == picture);
    }
}
