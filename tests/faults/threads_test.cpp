#include <fstream>
#include <functional>
#include <new>
#include <thread>

#include "faults/child.h"
#include "loopread/base/parallel.h"

using namespace loopread;
using namespace loopread::faults;

namespace {

/// The stack of a thread is 8 MB of address space: with less than that to spare none starts.
constexpr rlim_t kTooLittleForAThread = rlim_t{4} << 20;
constexpr int kAsItShould = 0, kNot = 1, kThreadsStartAllTheSame = 2;

rlim_t address_space_in_use() {
    std::ifstream statm("/proc/self/statm");
    rlim_t pages = 0;
    statm >> pages;
    REQUIRE(pages > 0);
    return pages * static_cast<rlim_t>(::sysconf(_SC_PAGESIZE));
}

/// Stacks of threads that ended are kept for the next ones: all are put to use until no more thread starts.
bool threads_run_out() {
    constexpr int kMost = 1000;
    try {
        for (int i = 0; i < kMost; ++i) std::thread([] { ::pause(); }).detach();
        return false;
    } catch (const std::system_error&) {
        return true;
    }
}

/// Runs `work` in a copy of this process in which no thread can be started. @return  one of the codes above
int without_threads(const std::function<bool()>& work) {
    const rlim_t in_use = address_space_in_use();
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        const rlimit both_limits{in_use + kTooLittleForAThread, in_use + kTooLittleForAThread};
        ::setrlimit(RLIMIT_AS, &both_limits);
        if (!threads_run_out()) ::_exit(kThreadsStartAllTheSame);
        try {
            ::_exit(work() ? kAsItShould : kNot);
        } catch (...) {
            ::_exit(kNot);
        }
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    REQUIRE(WIFEXITED(status));
    return WEXITSTATUS(status);
}

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("where no thread can be started, the work is done all the same") {
        if (kSanitized) {
            MESSAGE("a sanitizer maps more than any limit: the want of threads is not tested in this build");
            return;
        }
        CHECK(without_threads([] {
                  std::vector<int> calls(100, 0);
                  in_parallel(calls.size(), 4, [&] { return [&](std::size_t i) { ++calls[i]; }; });
                  return calls == std::vector<int>(100, 1);
              }) == kAsItShould);
        CHECK(without_threads([] {
                  int first = 0, second = 0;
                  both([&] { ++first; }, [&] { ++second; });
                  return first == 1 && second == 1;
              }) == kAsItShould);
        CHECK(without_threads([] { return begun([] { return 7; }).get() == 7; }) == kAsItShould);
    }

    TEST_CASE("memory that ran out on another thread is told to the caller, whose own half may fail as well") {
        const auto fails = [] { throw std::bad_alloc(); };
        const auto works = [] {};
        CHECK_THROWS_AS(both(works, fails), std::bad_alloc);
        CHECK_THROWS_AS(both(fails, works), std::bad_alloc);
        CHECK_THROWS_AS(both(fails, fails), std::bad_alloc);
        auto late = begun(fails);
        CHECK_THROWS_AS(late.get(), std::bad_alloc);
        { const auto never_asked = begun(fails); }
    }

    TEST_CASE("two pieces of work are each done once, and what is begun is not done twice") {
        std::atomic<int> first = 0, second = 0, calls = 0;
        for (int i = 0; i < 50; ++i) {
            both([&] { ++first; }, [&] { ++second; });
            CHECK(begun([&] { return ++calls; }).get() == i + 1);
        }
        CHECK(first == 50);
        CHECK(second == 50);
        CHECK(calls == 50);
    }
}
