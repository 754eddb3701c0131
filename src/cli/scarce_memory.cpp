#include "cli/scarce_memory.h"

#include <malloc.h>
#include <sys/resource.h>

namespace loopread::cli {

void share_one_heap_where_addresses_are_limited() {
    rlimit limit{};
    if (::getrlimit(RLIMIT_AS, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY) ::mallopt(M_ARENA_MAX, 1);
}

}  // namespace loopread::cli
