#pragma once

#include "loopread/base/random.h"
#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/yarn/run.h"
#include "properties/holds.h"

namespace loopread::properties {

inline LinearRgb any_light(Random& random) {
    return {random.uniform(), random.uniform(), random.uniform()};
}

inline Image any_picture(int least_side = 1) {
    const int rows = whole_in(least_side, 7, "picture rows"), columns = whole_in(least_side, 7, "picture columns");
    Random random(any_seed("picture seed"));
    Image picture(rows, columns);
    for (LinearRgb& pixel : picture) pixel = any_light(random);
    return picture;
}

inline BlankLayout any_blank() {
    BlankLayout layout;
    layout.stitches = whole_in(1, 11, "stitches");
    layout.rows = whole_in(1, 9, "rows");
    layout.strands = whole_in(1, 2, "strands");
    layout.wale_spacing = Millimetres{number_in(3, 8, "wale spacing")};
    layout.course_spacing = Millimetres{number_in(2, 6, "course spacing")};
    layout.loop_length = Millimetres{number_in(10, 30, "loop length")};
    layout.construction = static_cast<Construction>(whole_in(0, 1, "flat, tube"));
    layout.tail = static_cast<Tail>(whole_in(0, 1, "tail left, right"));
    layout.painted = static_cast<Painted>(whole_in(0, 1, "painted face, back"));
    return layout;
}

inline Lay any_lay() {
    return {static_cast<RavelEdge>(whole_in(0, 3, "ravel edge")), static_cast<QuarterTurn>(whole_in(0, 3, "rotate")),
            static_cast<Mirror>(whole_in(0, 1, "mirror")), static_cast<Fit>(whole_in(0, 2, "fit"))};
}

inline Paint any_paint(const BlankLayout& layout) {
    Paint paint;
    paint.raster = blank_raster(layout);
    Random random(any_seed("ground seed"));
    paint.ground = Image(1, 1, any_light(random));
    paint.picture = laid(any_picture(), any_lay(), layout, paint.raster);
    if (whole_in(0, 1, "other side known") == 1)
        paint.other_side = laid(any_picture(), any_lay(), layout, paint.raster);
    paint.penetration = number_in(0, 1, "penetration");
    paint.wrap = number_in(0, 1, "wrap");
    return paint;
}

/// Pieces of any lengths from a hundredth of a millimetre to a few centimetres.
inline ColourRun any_run(int most_pieces = 60) {
    const int count = whole_in(1, most_pieces, "pieces");
    Random random(any_seed("yarn seed"));
    std::vector<Piece> pieces;
    double start = 0;
    for (int i = 0; i < count; ++i) {
        const double length = 0.01 + 40 * random.uniform() * random.uniform();
        const bool placed = random.uniform() < 0.7;
        pieces.push_back({start, length, placed ? i / 8 : -1, placed ? i % 8 : -1, static_cast<Part>(i % 4),
                          random.uniform() < 0.3 && i > 0 ? pieces.back().colour : any_light(random)});
        start += length;
    }
    return ColourRun(std::move(pieces));
}

inline double largest_difference(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

}  // namespace loopread::properties
