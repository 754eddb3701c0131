#pragma once

#include <cstdint>
#include <vector>

#include "loopread/wound/sizes.h"
#include "loopread/wound/strand_path.h"

namespace loopread {

/// Which end of the yarn lies outside. Wound straight from the blank, the end that came off first is in the middle.
enum class Outside { far_end, ravel_end };

struct BallOptions {
    WoundYarn yarn;
    Outside outside = Outside::far_end;
    int first_strand = 0;  ///< the run of the first of the strands
    std::uint64_t seed = 1;
};

/// Wound by hand, a dozen turns one way, then the ball is turned. Standing on the table at x = y = 0, its outer end
/// lying beside it. What yarn outside hides is left out.
std::vector<StrandPath> ball_paths(const BallOptions& options);

/// Off a winder: flat on top, criss-cross round the side, a hole in the middle. Standing as a ball does.
std::vector<StrandPath> cake_paths(const BallOptions& options);

}  // namespace loopread
