#pragma once

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "loopread/base/grid.h"

namespace loopread {

/// EXIF orientation as three moves of the stored picture, in this order: rows and columns reversed, then transposed.
struct UprightMoves {
    bool rows_reversed = false, columns_reversed = false, transposed = false;
};

/// @param orientation  1..8, as [Exif 2.3] numbers them
inline UprightMoves upright_moves(int orientation) {
    constexpr UprightMoves kMoves[] = {
        {false, false, false}, {false, true, false}, {true, true, false}, {true, false, false},
        {false, false, true},  {true, false, true},  {true, true, true},  {false, true, true},
    };
    require(orientation >= 1 && orientation <= 8, "an orientation is 1 to 8");
    return kMoves[orientation - 1];
}

struct ReductionSize {
    int width = 0, height = 0;  ///< stored picture, full size
    int cell = 1;               ///< the rows come reduced already: one value stands for cell x cell pixels
    int shrink = 1;             ///< a whole multiple of cell
    int orientation = 1;
};

/// Cells of one side gathered into blocks of `shrink` pixels. Blocks are counted from the upright picture's start, so a
/// side that is stored reversed has its short block first.
class BlocksAlong {
public:
    BlocksAlong(int pixels, int cell, int shrink, bool reversed)
        : cell_(cell), cells_((pixels - 1) / cell + 1), last_extent_(pixels - (cells_ - 1) * cell) {
        const int lead = reversed ? (shrink - pixels % shrink) % shrink : 0;
        require(shrink % cell == 0 && lead % cell == 0, "blocks are made of whole cells");
        for (int start = -lead; start < pixels; start += shrink) {
            starts_.push_back(std::max(start, 0) / cell);
            totals_.push_back(std::min(start + shrink, pixels) - std::max(start, 0));
        }
        starts_.push_back(cells_);
    }
    int cells() const { return cells_; }
    int blocks() const { return static_cast<int>(totals_.size()); }
    int start(int block) const { return starts_[static_cast<std::size_t>(block)]; }   ///< its first cell
    int total(int block) const { return totals_[static_cast<std::size_t>(block)]; }   ///< pixels
    int extent(int cell) const { return cell + 1 == cells_ ? last_extent_ : cell_; }  ///< pixels

private:
    int cell_, cells_, last_extent_;
    std::vector<int> starts_, totals_;
};

/// The upright, reduced picture, gathered from stored rows as they are decoded: the full picture is never held.
template <class T>
class Reduction {
public:
    explicit Reduction(const ReductionSize& size)
        : moves_(upright_moves(size.orientation)),
          as_it_comes_(size.cell == size.shrink && !moves_.columns_reversed && !moves_.transposed),
          along_(size.width, size.cell, size.shrink, moves_.columns_reversed),
          down_(size.height, size.cell, size.shrink, moves_.rows_reversed),
          sums_(static_cast<std::size_t>(along_.blocks())),
          picture_(moves_.transposed ? along_.blocks() : down_.blocks(),
                   moves_.transposed ? down_.blocks() : along_.blocks()) {}

    /// @param cells  the next stored row, along().cells() values
    void add_row(const T* cells) {
        const double rows = down_.extent(row_);
        for (int block = 0; block < along_.blocks(); ++block) {
            T sum{};
            const int last = along_.start(block + 1) - 1;
            for (int k = along_.start(block); k < last; ++k) sum += cells[k];
            sum = sum * along_.extent(0) + cells[last] * along_.extent(last);
            sums_[static_cast<std::size_t>(block)] += sum * rows;
        }
        if (++row_ == down_.start(block_row_ + 1)) finish_block_row(block_row_++);
    }

    const BlocksAlong& along() const { return along_; }

    /// Every block is one value and rows stay rows: the next row can be written where it belongs, at next_place().
    bool takes_rows_as_they_come() const { return as_it_comes_; }
    T* next_place() {
        require(as_it_comes_ && row_ < down_.cells(), "a row is still to come and stays a row");
        const int row = row_++;
        return picture_.row(moves_.rows_reversed ? down_.cells() - 1 - row : row);
    }

    Grid<T> taken() {
        require(row_ == down_.cells(), "every row has been added");
        return std::move(picture_);
    }

private:
    void finish_block_row(int block) {
        const int row = moves_.rows_reversed ? down_.blocks() - 1 - block : block;
        for (int b = 0; b < along_.blocks(); ++b) {
            const int column = moves_.columns_reversed ? along_.blocks() - 1 - b : b;
            const double pixels = static_cast<double>(along_.total(b)) * down_.total(block);
            T& place = moves_.transposed ? picture_(column, row) : picture_(row, column);
            place = sums_[static_cast<std::size_t>(b)] * (1 / pixels);
        }
        std::fill(sums_.begin(), sums_.end(), T{});
    }

    UprightMoves moves_;
    bool as_it_comes_;
    BlocksAlong along_, down_;
    std::vector<T> sums_;
    Grid<T> picture_;
    int row_ = 0, block_row_ = 0;
};

}  // namespace loopread
