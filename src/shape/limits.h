#pragma once

namespace loopread {

// Chosen: far more than anyone knits, small enough that a slip of the finger cannot exhaust memory.
inline constexpr int kMostStitches = 10'000;
inline constexpr int kMostRounds = 100'000;

}  // namespace loopread
