#pragma once

#include <vector>

#include "loopread/blank/paint.h"

namespace loopread {

/// One separate shape on the ground, over the raster of the paint.
struct Motif {
    int left = 0, top = 0, right = 0, bottom = 0;  ///< pixels; right and bottom are one past the last
    int area = 0;                                  ///< pixels
    int line = 0;                                  ///< motifs side by side share a line, counted from the ravel edge

    double middle_x() const { return (left + right) / 2.0; }
    double middle_y() const { return (top + bottom) / 2.0; }
};

/// The separate motifs of a design, if it has such.
struct Motifs {
    std::vector<Motif> motifs;  ///< in the order of their lines, then from the left
    Grid<int> owner;            ///< raster: index of a pixel's motif, its soft surroundings included; -1: no motif's
    double size_mm = 0;         ///< median of the longer sides
    double across_mm = 0;       ///< median distance between neighbours in a line, middle to middle; 0: not known
    double along_mm = 0;        ///< median distance between lines; 0: not known

    bool separate() const { return !motifs.empty(); }
};

/// Motifs are what is dyed, or differs from the ground by over CIEDE2000 8, in connected shapes of at least 9 mm^2.
/// None where there are fewer than six or they cover more than 0.6 of the blank: then the design is a whole.
/// All of these numbers are chosen.
Motifs motifs_of(const Paint& paint);

}  // namespace loopread
