#pragma once

#include <cstddef>
#include <future>
#include <utility>
#include <vector>

#include "loopread/base/parallel.h"
#include "photo/samples.h"

namespace loopread {

/// Rows of 8 bits a sample, handed on in their order, many at a time, by another thread than decodes them: `take` is
/// never called twice at once.
template <class Take>
class RowRelay {
public:
    explicit RowRelay(Take take) : take_(std::move(take)) {}

    void add(const SampleRow& row) {
        waiting_.row = row;
        waiting_.samples.insert(waiting_.samples.end(), row.first, row.first + bytes_in(row));
        if (waiting_.samples.size() < kBatch) return;
        wait();
        taking_ = begun([this, batch = std::exchange(waiting_, {})] { hand_on(batch); });
    }
    /// What is left, and what came of it: errors of `take` are thrown on here or by add().
    void finish() {
        wait();
        hand_on(waiting_);
    }

private:
    static constexpr std::size_t kBatch = 500'000;  // bytes; chosen: a thread takes as long to start as some 10'000

    struct Batch {
        SampleRow row;  ///< the last one, as all are
        std::vector<unsigned char> samples;
    };
    static std::size_t bytes_in(const SampleRow& row) {
        return static_cast<std::size_t>(row.columns) * static_cast<std::size_t>(row.channels);
    }
    void hand_on(const Batch& batch) const {
        SampleRow row = batch.row;
        const unsigned char* const end = batch.samples.data() + batch.samples.size();
        for (row.first = batch.samples.data(); row.first != end; row.first += bytes_in(row)) take_(row);
    }
    void wait() {
        if (taking_.valid()) taking_.get();
    }

    Take take_;
    Batch waiting_;
    std::future<void> taking_;  ///< last, so that it ends before what it uses
};

}  // namespace loopread
