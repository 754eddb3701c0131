#pragma once

#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/fabric/fabric.h"
#include "loopread/image/image.h"
#include "loopread/loop/shape.h"
#include "loopread/shape/gauge.h"
#include "loopread/wound/strand_painter.h"

namespace loopread {

/// A table seen from straight above.
struct FlatTable {
    int rows = 2000, columns = 2000;
    double pixels_per_mm = 2;  ///< for a swatch; of the others it follows from what lies there
    Ground ground;
};

/// Height of a blank's picture on a table of so many rows.
double blank_height(int rows);

/// The whole blank, ravel edge on top, and where there is room beside it its upper part once more, closer.
Picture8 blank_scene(const FlatTable& table, const Image& blank, const BlankLayout& layout);

/// A piece of knitting in the middle of the table, pixel for pixel.
Picture8 swatch_scene(const FlatTable& table, const Image& fabric);

struct SockToLay {
    const Fabric* fabric = nullptr;
    const ColourRun* run = nullptr;
    const Garment* garment = nullptr;
};
/// Socks laid flat, the leg of the second above the foot of the first.
Picture8 socks_scene(const FlatTable& table, const std::vector<SockToLay>& socks, const LoopShape& shape,
                     const Gauge& gauge);

/// A picture of cloth all over, with a strip of table below it where the table is taller.
Picture8 above_table(const Picture8& cloth, const FlatTable& table);

/// The picture so wide: means in light.
Picture8 made_small(const Picture8& picture, int columns);

/// The picture as it is or turned by half, whichever is more like the other one.
Image upright_like(const Image& picture, const Image& other);

}  // namespace loopread
