#pragma once

#include <cstdint>

#include "loopread/base/grid.h"
#include "loopread/loop/cell.h"

namespace loopread {

/// One line of sight into the repeat, made ready for drawing.
struct StampPoint {
    std::int8_t right = 0;
    std::int8_t up = 0;
    std::uint8_t strand = 0;
    std::uint8_t place = 0;  // the loop's colour before this point along the yarn ...
    float toward_next = 0;   // ... and how far the point lies on the way to the next: colours pass over softly
    float shade = 1;
};
using Stamp = Grid<StampPoint>;

/// Towards the lamp: upper left, in front (x right and y up as the fabric lies before us).
inline constexpr LoopVector kLamp{-0.42, 0.58, -0.70};

/// How much of the relief is drawn: in full where single loops can be seen, less where they are but a pixel or two,
/// since whatever then scales the picture would make bands of it.
double relief_at(double pixels_per_stitch);

/// What lies before us over one repeat, not yet lit.
class StampSights {
public:
    /// @param rows, columns  lines of sight a stitch
    StampSights(const LoopCell& cell, Side side, int rows, int columns);

    /// Lit from one side; shades average to 1.
    Stamp lit(LoopVector lamp, double relief) const;

private:
    struct Sight {
        SeenYarn seen;
        LoopVector normal;  // as it lies before us
        double depth = 0;   // away from us
    };
    Grid<Sight> sights_;
    Side side_;
    double loop_length_;
};

}  // namespace loopread
