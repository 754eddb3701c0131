#pragma once

#include <cstddef>
#include <new>

namespace loopread {

/// Finds out beforehand whether so much memory is there, for libraries that end the program where it is not.
/// @throws std::bad_alloc
inline void check_room(std::size_t bytes) {
    ::operator delete(::operator new(bytes));  // called by name: a pair of new and delete may be left out
}

}  // namespace loopread
