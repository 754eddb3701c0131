#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "loopread/unravel/unravelled.h"

using namespace loopread;

namespace {

constexpr double kNearly = 0.95;      // cosine of 18 degrees: a piece of yarn turns by as much
constexpr double kPlainlyLess = 0.7;  // chosen: balls that are swapped, or alike, leave as much or more

/// Light that black paint on white yarn left of the yarn that lay towards the technical back, and towards the face.
struct LightLeft {
    double back = 0, face = 0;
};

LightLeft light_left(const BlankLayout& layout, int strand) {
    const LoopShape shape{LoopProportions{}};
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, LinearRgb{1, 1, 1});
    paint.picture = Image(paint.raster.rows, paint.raster.columns, LinearRgb{0, 0, 0});
    paint.penetration = 0;
    const WindingOptions options;
    const std::vector<ColourRun> strands = unravelled(layout, paint, shape, CellShares(shape, 2), options);
    const Winding winding(options, layout.strand_length());
    LightLeft left;
    int towards_back = 0, towards_face = 0;
    for (const Piece& piece : strands[static_cast<std::size_t>(strand)].pieces()) {
        // The angle is strand 1's, from the technical back; the other strand lies opposite.
        const double back = std::cos(winding.angle(piece.start_mm + piece.length_mm / 2)) * (strand == 0 ? 1 : -1);
        if (back > kNearly) {
            ++towards_back;
            left.back += piece.colour.g;
        } else if (back < -kNearly) {
            ++towards_face;
            left.face += piece.colour.g;
        }
    }
    REQUIRE(std::min(towards_back, towards_face) > 100);
    return {left.back / towards_back, left.face / towards_face};
}

}  // namespace

TEST_SUITE("unravel") {
    TEST_CASE("ball A is the strand whose winding is told: it takes the paint where it is turned to the painted side") {
        BlankLayout layout;
        layout.stitches = 20;
        layout.rows = 30;
        for (const Painted painted : {Painted::face, Painted::back})
            for (const int ball : {0, 1}) {
                CAPTURE(ball);
                layout.painted = painted;
                const LightLeft left = light_left(layout, ball);
                const double turned_away = painted == Painted::face ? left.back : left.face;
                const double turned_to_it = painted == Painted::face ? left.face : left.back;
                CHECK(turned_to_it < kPlainlyLess * turned_away);
            }
    }
}
