#pragma once

#include <span>
#include <vector>

#include "sums.h"

namespace loopread {

/// Raw products of a stretch with itself, sum over k of F[k].F[k + lag], for every lag that some stitch counts need.
class LagTable {
public:
    /// @param counts  stitch counts, each over kWidestLean; those that do not fit into the stretch cost nothing
    void assign(const StitchSums& stitches, std::span<const int> counts);
    /// Over the whole stretch. @param lag  within kWidestLean of one of the counts (require)
    double product(std::size_t lag) const;

private:
    std::vector<double> products_;
    std::vector<unsigned char> known_;
};

}  // namespace loopread
