#pragma once

#include "loopread/base/quantity.h"

namespace loopread {

enum class Construction { flat, tube };
/// Where the loose end hangs, with the painted side towards us and the ravel edge on top.
enum class Tail { left, right };
/// Which technical side was painted: the knit side is the face, the purl side the back.
enum class Painted { face, back };

/// A blank as it was knitted. Course 0 is the ravel edge (knitted last), wale 0 lies at the left of the painted side
/// (of a tube: at the fold where the tail hangs).
struct BlankLayout {
    int stitches = 46;  ///< wales; of a tube the whole round
    int rows = 214;     ///< courses
    int strands = 2;    ///< held together
    Millimetres wale_spacing{240.0 / 46};
    Millimetres course_spacing{860.0 / 214};
    Millimetres loop_length{211000.0 / (46 * 214)};
    Construction construction = Construction::flat;
    Tail tail = Tail::left;
    Painted painted = Painted::face;

    /// Stitches across the painted side as it lies before us.
    int columns() const { return construction == Construction::flat ? stitches : (stitches + 1) / 2; }
    Millimetres width() const { return wale_spacing * columns(); }
    Millimetres length() const { return course_spacing * rows; }
    Millimetres row_yarn() const { return loop_length * stitches; }
    Millimetres strand_length() const { return row_yarn() * rows; }
};

}  // namespace loopread
