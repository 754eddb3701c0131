#pragma once

#include <cstdint>
#include <vector>

#include "loopread/wound/sizes.h"
#include "loopread/wound/strand_path.h"

namespace loopread {

struct HankOptions {
    WoundYarn yarn;
    Millimetres girth{1500};
    Millimetres crimp{0};  ///< yarn in one wave that a loop of the blank has left; 0: washed out
    std::uint64_t seed = 1;
};

/// The hank twisted, folded in half and left to twist back on itself, one end tucked through the other; about its own
/// middle, lying along x.
std::vector<StrandPath> skein_paths(const HankOptions& options);

/// The hank laid open as a long loop in a curve, tied twice with its own two ends.
std::vector<StrandPath> hank_paths(const HankOptions& options);

}  // namespace loopread
