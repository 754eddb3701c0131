#include "loopread/base/room.h"

#include <sys/mman.h>

#include <new>

namespace loopread {

void check_room(std::size_t bytes) {
    void* const room = mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (room == MAP_FAILED) throw std::bad_alloc();
    munmap(room, bytes);
}

}  // namespace loopread
