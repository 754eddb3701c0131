#pragma once

#include <cstddef>

namespace loopread {

/// Finds out beforehand whether so much memory is there, for libraries that end the program where it is not. Touches
/// none of it, so that it may be asked for every sheet and every line measured.
/// @throws std::bad_alloc
void check_room(std::size_t bytes);

}  // namespace loopread
