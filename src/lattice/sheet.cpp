#include "lattice/sheet.h"

#include <algorithm>
#include <cmath>

namespace loopread {
namespace {

/// The corners of the cell that a place lies in, or the nearest cell, and where in it.
struct Cell {
    double top_left, top_right, bottom_left, bottom_right;
    double u, v;
};

Cell cell_at(const Sheet& sheet, double x, double y) {
    const Grid<double>& values = sheet.values;
    const int column = std::clamp(static_cast<int>(std::floor(x / sheet.step)), 0, values.columns() - 2);
    const int row = std::clamp(static_cast<int>(std::floor(y / sheet.step)), 0, values.rows() - 2);
    return {values(row, column),         values(row, column + 1), values(row + 1, column),
            values(row + 1, column + 1), x / sheet.step - column, y / sheet.step - row};
}

}  // namespace

double Sheet::at(double x, double y) const {
    const Cell cell = cell_at(*this, x, y);
    return (cell.top_left * (1 - cell.u) + cell.top_right * cell.u) * (1 - cell.v) +
           (cell.bottom_left * (1 - cell.u) + cell.bottom_right * cell.u) * cell.v;
}

Slope Sheet::slope(double x, double y) const {
    const Cell cell = cell_at(*this, x, y);
    return {((cell.top_right - cell.top_left) * (1 - cell.v) + (cell.bottom_right - cell.bottom_left) * cell.v) / step,
            ((cell.bottom_left - cell.top_left) * (1 - cell.u) + (cell.bottom_right - cell.top_right) * cell.u) / step};
}

Sheet empty_sheet(double width, double height, double step) {
    return {Grid<double>(static_cast<int>(std::ceil(height / step)) + 2, static_cast<int>(std::ceil(width / step)) + 2),
            step};
}

Sheet transposed(const Sheet& sheet) {
    Sheet result{Grid<double>(sheet.values.columns(), sheet.values.rows()), sheet.step};
    for (int r = 0; r < result.values.rows(); ++r)
        for (int c = 0; c < result.values.columns(); ++c) result.values(r, c) = sheet.values(c, r);
    return result;
}

}  // namespace loopread
