#include <malloc.h>
#include <sys/resource.h>

#include <iostream>

#include "cli/run.h"

namespace {

/// The C library sets 64 MB of addresses aside for each thread's heap [mallopt(3)], where a whole run needs little
/// more: where the addresses are limited, all threads share one heap.
void share_one_heap_where_addresses_are_limited() {
    rlimit limit{};
    if (::getrlimit(RLIMIT_AS, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY) ::mallopt(M_ARENA_MAX, 1);
}

}  // namespace

int main(int argc, char** argv) {
    share_one_heap_where_addresses_are_limited();
    return loopread::cli::run(argc, argv, std::cout, std::cerr);
}
