#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <future>
#include <memory>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

// WebAssembly in a page has no threads unless it is built for them (and its library no std::jthread at all).
#if defined(__EMSCRIPTEN__) && !defined(__EMSCRIPTEN_PTHREADS__)
#define LOOPREAD_ONE_THREAD 1
#else
#define LOOPREAD_ONE_THREAD 0
#endif

namespace loopread {

/// As many threads as were asked for; if 0, as the machine has.
inline std::size_t thread_count(int asked) {
    if (LOOPREAD_ONE_THREAD) return 1;
    return asked > 0 ? static_cast<std::size_t>(asked) : std::max(1U, std::thread::hardware_concurrency());
}

/// Calls worker(i) for every i < count, each thread with a worker of its own (so that it may keep its memory), in no
/// order: what it writes has to be i's alone. With one thread none is started, for places that have no threads; where a
/// machine refuses more, those that there are do the work.
/// The first exception is thrown on when all threads have stopped.
template <class MakeWorker>
void in_parallel(std::size_t count, [[maybe_unused]] std::size_t threads, MakeWorker make_worker) {
    std::atomic<std::size_t> next = 0;
    std::exception_ptr fault;
    std::mutex fault_lock;
    const auto work = [&] {
        try {
            auto worker = make_worker();
            for (std::size_t i = next++; i < count; i = next++) worker(i);
        } catch (...) {
            next = count;
            const std::scoped_lock lock(fault_lock);
            if (!fault) fault = std::current_exception();
        }
    };
#if LOOPREAD_ONE_THREAD
    work();
#else
    std::vector<std::jthread> others(std::min(threads, count) > 1 ? std::min(threads, count) - 1 : 0);
    try {
        for (std::jthread& thread : others) thread = std::jthread(work);
    } catch (const std::system_error&) {
    }
    work();
    others.clear();  // joins them
#endif
    if (fault) std::rethrow_exception(fault);
}

/// Two pieces of work at the same time, where a second thread can be had.
template <class First, class Second>
void both(const First& first, const Second& second) {
    in_parallel(2, 2, [&] { return [&](std::size_t i) { i == 0 ? first() : second(); }; });
}

/// What `work` gives, worked out on a thread of its own or, where none can be had, when it is asked for. Unlike
/// std::async it does not throw for want of a thread.
template <class Work>
auto begun(Work work) {
    const auto kept = std::make_shared<Work>(std::move(work));
    const auto call = [kept] { return (*kept)(); };
    try {
        return std::async(std::launch::async, call);
    } catch (const std::system_error&) {
        return std::async(std::launch::deferred, call);
    }
}

}  // namespace loopread
