#pragma once

#include <cstdint>
#include <optional>

#include "loopread/fabric/fabric.h"
#include "loopread/image/image.h"
#include "loopread/loop/shape.h"
#include "loopread/shape/gauge.h"
#include "loopread/shape/rounds.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// How a garment laid flat is drawn.
struct LaidFlatLook {
    double pixels_per_cm = 40;    ///< as asked for; a garment too large for `most_megapixels` is drawn smaller
    double most_megapixels = 12;  ///< chosen: a sock of any size and a shawl with its loops still showing
    Gauge gauge = {};
    LinearRgb paper{0.964, 0.956, 0.930};
    std::uint64_t seed = 1;  ///< of the slight unevenness
    double unevenness = 1;   ///< 0: every stitch the same; 1: like good hand knitting
};

/// A garment on the table, and where its parts lie in the picture (pixels, x right, y down).
struct LaidFlat {
    struct Point {
        double x = 0, y = 0;
    };
    Image picture;
    double pixels_per_cm = 0;  ///< as drawn
    Point first_round;         ///< middle of the edge where knitting starts
    Point last_round;          ///< middle of the last round knitted (of a row of a heel: of the half that is seen)
    std::optional<Point> heel, toe, cuff;  ///< of a sock: outermost point of the heel, tip of the toe, top of the cuff
    std::optional<Point> yarn_end;         ///< where the strand ran out, if it did
    bool yarn_end_behind =
        false;  ///< the strand ran out on the side that lies on the table; yarn_end is the place above
};

/// Size of a garment laid flat, unevenness and margin left out.
struct LaidFlatSize {
    Millimetres width, height;
};
LaidFlatSize laid_flat_size(const Garment& garment, const Gauge& gauge);

/// A garment laid flat on a table, seen from above, every round carried through in the order it was knitted.
///
/// A sock lies on its side, cuff on top and foot to the right, half of its stitches towards us from the middle of the
/// heel to the middle of the instep. Seen from outside and with rounds going up, columns go to the left: knitted from
/// the cuff down we see columns N/4 to 3N/4 and V's that open downwards, from the toe up columns 3N/4 over 0 to N/4
/// and V's that open upwards. Other garments lie with round 0 at the bottom; of those in the round we see the first
/// half of each round, which begins at the right.
///
/// Rounds that the yarn did not reach are a pale tint with an edge. Fabric that cannot lie flat without a wrinkle (at
/// the instep and in the gusset) is drawn stretched or gathered instead.
/// @param fabric   the garment's rounds up to where the yarn ends
/// @throws contract unless the garment has rounds, of which the fabric's are the first, and sizes are over 0
/// Shape of a sock: common practice, no source.
LaidFlat laid_flat(const Fabric& fabric, const ColourRun& run, const Garment& garment, const LoopShape& shape,
                   const LaidFlatLook& look);

}  // namespace loopread
