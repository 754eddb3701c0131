#include "loopread/base/parallel.h"

#include <doctest/doctest.h>

#include <chrono>
#include <stdexcept>
#include <string>

using namespace loopread;

namespace {

/// How often each index was worked on.
std::vector<int> calls_of(std::size_t count, std::size_t threads) {
    std::vector<int> calls(count, 0);
    in_parallel(count, threads, [&] { return [&](std::size_t i) { ++calls[i]; }; });
    return calls;
}

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("every index is worked on just once, whatever the number of threads") {
        for (const std::size_t threads : {0U, 1U, 2U, 3U, 16U})
            for (const std::size_t count : {0U, 1U, 2U, 17U, 5000U}) {
                CAPTURE(threads);
                CAPTURE(count);
                CHECK(calls_of(count, threads) == std::vector<int>(count, 1));
            }
    }

    TEST_CASE("one thread does everything in order, on the caller's own thread") {
        std::vector<std::size_t> order;
        bool here = true;
        in_parallel(100, 1, [&] {
            return [&, caller = std::this_thread::get_id()](std::size_t i) {
                order.push_back(i);
                here = here && std::this_thread::get_id() == caller;
            };
        });
        REQUIRE(order.size() == 100);
        for (std::size_t i = 0; i < order.size(); ++i) CHECK(order[i] == i);
        CHECK(here);
    }

    TEST_CASE("each thread has a worker of its own, and no more are made than there is work") {
        for (const std::size_t count : {2U, 400U}) {
            CAPTURE(count);
            std::atomic<int> made = 0;
            std::vector<std::thread::id> maker(count), caller(count);
            in_parallel(count, 4, [&] {
                ++made;
                return [&, own = std::this_thread::get_id()](std::size_t i) {
                    maker[i] = own;
                    caller[i] = std::this_thread::get_id();
                };
            });
            CHECK(maker == caller);
            CHECK(made == static_cast<int>(std::min<std::size_t>(count, 4)));
        }
    }

    TEST_CASE("a worker keeps its memory from one index to the next") {
        std::atomic<int> total = 0;
        in_parallel(300, 3, [&] { return [&, seen = 0](std::size_t) mutable { total += ++seen == 1 ? 1 : 0; }; });
        CHECK(total >= 1);  // a first call for each worker that got any work
        CHECK(total <= 3);
    }

    TEST_CASE("an exception comes through with its words, and no later index is begun after it on one thread") {
        std::vector<int> calls(20, 0);
        const auto work = [&] {
            in_parallel(20, 1, [&] {
                return [&](std::size_t i) {
                    ++calls[i];
                    if (i == 5) throw std::runtime_error("the fifth");
                };
            });
        };
        CHECK_THROWS_WITH_AS(work(), "the fifth", std::runtime_error);
        for (std::size_t i = 0; i < calls.size(); ++i) CHECK(calls[i] == (i <= 5 ? 1 : 0));
    }

    TEST_CASE("an exception comes through from any thread when all have stopped") {
        std::atomic<int> at_work = 0;
        int through = 0;
        for (std::size_t bad = 0; bad < 50; ++bad) {
            try {
                in_parallel(50, 4, [&] {
                    return [&](std::size_t i) {
                        ++at_work;
                        std::this_thread::yield();
                        --at_work;
                        if (i == bad) throw std::out_of_range(std::to_string(i));
                    };
                });
            } catch (const std::out_of_range& fault) {
                CHECK(at_work == 0);
                if (fault.what() == std::to_string(bad)) ++through;
            }
        }
        CHECK(through == 50);
    }

    TEST_CASE("after an exception the other threads begin hardly anything more") {
        constexpr int kCount = 400;
        std::atomic<bool> thrown = false;
        std::atomic<int> begun = 0;
        const auto work = [&] {
            in_parallel(kCount, 3, [&] {
                return [&](std::size_t i) {
                    ++begun;
                    if (i == 0) {
                        thrown = true;
                        throw std::runtime_error("the first");
                    }
                    while (!thrown) std::this_thread::yield();
                    std::this_thread::sleep_for(std::chrono::milliseconds(1));
                };
            });
        };
        CHECK_THROWS_AS(work(), std::runtime_error);
        CHECK(begun < kCount / 2);  // 0.2 s for two other threads, while the exception takes microseconds
    }

    TEST_CASE("where every index fails, one of the exceptions comes through") {
        CHECK_THROWS_AS(in_parallel(64, 4, [] { return [](std::size_t) { throw std::logic_error("each"); }; }),
                        std::logic_error);
    }

    TEST_CASE("a worker that cannot be made is an exception too") {
        const auto no_worker = []() -> void (*)(std::size_t) { throw std::runtime_error("no memory"); };
        CHECK_THROWS_WITH_AS(in_parallel(8, 4, no_worker), "no memory", std::runtime_error);
        CHECK_THROWS_WITH_AS(in_parallel(8, 1, no_worker), "no memory", std::runtime_error);
    }

    TEST_CASE("as many threads as asked for, and at least one if none is named") {
        CHECK(thread_count(1) == 1);
        CHECK(thread_count(7) == 7);
        CHECK(thread_count(0) >= 1);
    }
}
