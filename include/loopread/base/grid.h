#pragma once

#include <cstddef>
#include <vector>

#include "loopread/base/require.h"

namespace loopread {

/// rows x columns of T, row after row; row 0 is on top, column 0 at the left.
template <class T>
class Grid {
public:
    Grid() = default;
    Grid(int rows, int columns, const T& fill = T{}) : rows_(rows), columns_(columns) {
        require(rows >= 0 && columns >= 0, "a grid has no negative side");
        cells_.assign(static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns), fill);
    }

    int rows() const { return rows_; }
    int columns() const { return columns_; }
    bool empty() const { return cells_.empty(); }
    std::size_t size() const { return cells_.size(); }

    T& operator()(int row, int column) { return cells_[index(row, column)]; }
    const T& operator()(int row, int column) const { return cells_[index(row, column)]; }
    T* row(int r) { return cells_.data() + index(r, 0); }
    const T* row(int r) const { return cells_.data() + index(r, 0); }

    auto begin() { return cells_.begin(); }
    auto end() { return cells_.end(); }
    auto begin() const { return cells_.begin(); }
    auto end() const { return cells_.end(); }

    bool operator==(const Grid&) const = default;

private:
    std::size_t index(int row, int column) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(column);
    }
    int rows_ = 0;
    int columns_ = 0;
    std::vector<T> cells_;
};

}  // namespace loopread
