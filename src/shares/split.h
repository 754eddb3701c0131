#pragma once

#include <span>
#include <vector>

#include "terms.h"

namespace loopread {

/// The four shares, the lean and the contrasts from their terms.
Shares split(const Terms& terms);

/// One stretch of a fabric with the sums its shares are taken from.
struct SummedStretch {
    StitchSums stitches;
    LagTable lags;  ///< in the round only
};

/// Everything, fade and wiggle included, of whole rounds of n stitches in each stretch.
/// @param stretches  with one offset; those in the round with a lag table that covers n
Shares shares_of(std::span<const SummedStretch> stretches, int n, Worked worked);

/// Why a fabric of so many whole rounds has no shares; empty if it has.
std::string why_no_shares(int stitches, std::size_t rounds);

}  // namespace loopread
