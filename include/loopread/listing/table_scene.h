#pragma once

#include <vector>

#include "loopread/image/image.h"
#include "loopread/wound/strand_painter.h"

namespace loopread {

/// A piece of cloth or a photo of one, lying flat on the table.
struct LyingCloth {
    Image picture;           ///< light
    double x = 0, y = 0;     ///< of its top left corner, whole pixels
    double height_mm = 1.5;  ///< above the table: how far its shadow falls
};

/// A piece of fabric with an outline of its own, drawn twice: on black and on white. What differs between the two is
/// the table that shows, shadows included.
struct CutCloth {
    Image on_black, on_white;
    double x = 0, y = 0;
};

struct TableScene {
    int rows = 2000, columns = 2000;
    double pixels_per_mm = 2;
    Ground ground;
    std::vector<LyingCloth> cloths = {};  ///< in the order laid down
    std::vector<CutCloth> cut = {};       ///< above them
};

/// The scene in the light that yarn is painted in: from the upper left, shadows falling to the lower right.
Picture8 drawn_scene(const TableScene& scene);

}  // namespace loopread
