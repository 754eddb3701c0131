#pragma once

#include <string>

#include "loopread/shares/shares.h"
#include "loopread/yarn/run.h"

namespace loopread {

struct Verdict {
    /// stripes, stepped stripes, fade, pools, dashes, speckle, or one colour; none where there are no shares
    std::string kind;
    bool slants = false;   ///< what stacks leans from round to round
    std::string sentence;  ///< in a knitter's words, one or two sentences
};

/// What one would say of the fabric on seeing it.
/// @param run                 the yarn it was knitted from
/// @param yarn_per_round_mm   over 0 (require)
Verdict verdict(const Shares& shares, const PlainRounds& rounds, const ColourRun& run, double yarn_per_round_mm);

}  // namespace loopread
