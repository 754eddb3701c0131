#include <pthread.h>

#include <cerrno>

// A page has no threads, and the core starts some where a machine has them (std::thread, std::async). The linker is
// told (--wrap) to take these instead of a library that refuses: a thread is run to its end on the spot.
extern "C" {
// The linker makes these names. NOLINTBEGIN(bugprone-reserved-identifier)

int __wrap_pthread_create(pthread_t* thread, const pthread_attr_t* /*attributes*/, void* (*start)(void*),
                          void* argument) {
    static unsigned long threads = 0;
    *thread = reinterpret_cast<pthread_t>(++threads);  // never looked into, but 0 is no thread
    start(argument);
    return 0;
}

int __wrap_pthread_join(pthread_t /*thread*/, void** result) {
    if (result) *result = nullptr;
    return 0;
}

int __wrap_pthread_detach(pthread_t /*thread*/) {
    return 0;
}
// NOLINTEND(bugprone-reserved-identifier)
}
