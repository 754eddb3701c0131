#pragma once

#include <algorithm>
#include <cstddef>

#include "loopread/base/parallel.h"

namespace loopread {

/// Calls work(row) for every row, shared out to as many threads as the machine has: what it writes has to be the row's
/// alone. Small pictures are not worth a thread.
template <class Work>
void for_each_row(int rows, int columns, const Work& work) {
    constexpr int kBlock = 16;             // rows: neighbours share what they read
    constexpr double kWorthSharing = 2e4;  // pixels; chosen: starting a thread takes as long as some thousands
    const std::size_t threads = static_cast<double>(rows) * columns < kWorthSharing ? 1 : thread_count(0);
    in_parallel(static_cast<std::size_t>((rows + kBlock - 1) / kBlock), threads, [&] {
        return [&](std::size_t block) {
            const int first = static_cast<int>(block) * kBlock;
            for (int row = first; row < std::min(rows, first + kBlock); ++row) work(row);
        };
    });
}

}  // namespace loopread
