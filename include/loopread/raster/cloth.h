#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "loopread/fabric/fabric.h"
#include "loopread/image/image.h"
#include "loopread/loop/cell.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Loops in a rectangle as they are drawn: row 0 on top, column 0 at the left, colours along each loop's yarn from its
/// left mid sinker to its right one, whichever way the yarn really ran.
class Cloth {
public:
    static constexpr int kPlaces = 12;  ///< colours along one loop and strand

    Cloth(int rows, int columns, int strands);

    int rows() const { return rows_; }
    int columns() const { return columns_; }
    int strands() const { return strands_; }
    LinearRgb* loop(int row, int column, int strand) { return colours_.data() + index(row, column, strand); }
    const LinearRgb* loop(int row, int column, int strand) const {
        return colours_.data() + index(row, column, strand);
    }
    /// A loop that was never set shows the paper.
    bool worked(int row, int column) const { return worked_(row, column) != 0; }
    void set_worked(int row, int column) { worked_(row, column) = 1; }
    /// Winding angle of a loop's strands, as one of CellShares::kAngles steps.
    std::uint8_t& angle(int row, int column) { return angle_(row, column); }
    std::uint8_t angle(int row, int column) const { return angle_(row, column); }

private:
    std::size_t index(int row, int column, int strand) const {
        return ((static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                 static_cast<std::size_t>(column)) *
                    static_cast<std::size_t>(strands_) +
                static_cast<std::size_t>(strand)) *
               kPlaces;
    }
    int rows_, columns_, strands_;
    std::vector<LinearRgb> colours_;
    Grid<std::uint8_t> worked_, angle_;
};

/// A knitted tube or flat piece opened out, from the outside: round 0 at the bottom, stitch 0 at the right.
/// Rounds and rows that run the other way (odd rows worked back and forth) run left to right.
/// @param most_rounds  the first so many rounds
Cloth fabric_cloth(const Fabric& fabric, const ColourRun& run, int most_rounds);

/// How cloth is drawn.
struct ClothLook {
    double pixels_per_stitch = 12;  ///< width of a stitch; its height follows from wale_per_course
    double wale_per_course = 1.31;
    Side side = Side::face;
    LinearRgb paper{1, 1, 1};  ///< beyond the cloth
    std::uint64_t seed = 1;    ///< of the slight unevenness
    double unevenness = 1;     ///< 0: every loop the same; 1: like good hand knitting
    int sights = 24;           ///< lines of sight across a stitch, at least; fewer do for thumbnails
};

/// The cloth as light, rows x pixels_per_stitch / wale_per_course high; V's open upwards.
///
/// Each picture element is the area average of lines of sight into the loop cell (`sights` a stitch width or more), so
/// that nothing beats with the pixel grid. Shading (light from the upper left, depth, ply twist) averages to 1, so the
/// mean colour stays that of the yarn; gaps take their nearest yarn's colour, deepened.
/// @throws contract if the cloth has no loops
Image drawn_cloth(const Cloth& cloth, const LoopShape& shape, const ClothLook& look);

}  // namespace loopread
