#pragma once

namespace loopread::cli {

/// The C library sets 64 MB of addresses aside for each thread's heap [mallopt(3)], where a whole run needs little
/// more: where the addresses are limited, all threads share one heap. To be called before any thread is there.
void share_one_heap_where_addresses_are_limited();

}  // namespace loopread::cli
