#pragma once

#include <vector>

#include "loopread/shape/rounds.h"

namespace loopread {

/// Sets which way each row runs: odd rows of a stretch worked back and forth run back, all else runs on.
void set_directions(std::vector<Round>& rounds);

}  // namespace loopread
