#pragma once

#include <cstdint>

#include "loopread/image/image.h"

namespace loopread {

/// Stitches painted, not yet on the table: of each pixel's lines of sight, those that met knitting or planned knitting,
/// and the light that the knitted ones saw.
struct TableCloth {
    TableCloth(int rows, int columns, int sights_a_pixel)
        : light(rows, columns), knitted(rows, columns, 0), planned(rows, columns, 0), sights(sights_a_pixel) {}

    Image light;  ///< sum
    Grid<std::uint16_t> knitted, planned;
    int sights;
};

struct TableLook {
    LinearRgb paper;
    double pixels_per_cm = 0;
};

/// The garment on its table: a little darker towards its outline, as it turns away, with a soft shadow; planned rounds
/// as a tint with an edge.
Image on_table(TableCloth cloth, const TableLook& look);

}  // namespace loopread
