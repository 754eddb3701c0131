#include "loopread/base/room.h"

#include <doctest/doctest.h>

#include <new>

using namespace loopread;

TEST_SUITE("base") {
    TEST_CASE("room for a page is there, room for more than there are addresses is not") {
        CHECK_NOTHROW(check_room(4096));
        CHECK_THROWS_AS(check_room(std::size_t{1} << 62), std::bad_alloc);
    }
}
