#include "loopread/base/error.h"

#include <doctest/doctest.h>

#include <stdexcept>

#include "loopread/base/require.h"

using namespace loopread;

namespace {

std::string message_of(const std::vector<Problem>& problems) {
    try {
        throw_problems("yarn.csv", problems);
    } catch (const Error& error) {
        CHECK(error.kind() == ErrorKind::input);
        return error.what();
    }
}

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("the exit codes are those of the command line") {
        CHECK(exit_code(ErrorKind::usage) == 2);
        CHECK(exit_code(ErrorKind::input) == 3);
        CHECK(exit_code(ErrorKind::output) == 4);
        CHECK(kInternalFaultExit == 70);
    }

    TEST_CASE("several faults make one line, with the number of those not shown") {
        CHECK(message_of({{0, "has no rows"}}) == "yarn.csv: has no rows");
        CHECK(message_of({{3, "a"}, {0, "b"}}) == "yarn.csv: line 3: a; b");
        std::vector<Problem> many;
        for (int line = 1; line <= 5; ++line) many.push_back({line, "bad"});
        CHECK(message_of(many) == "yarn.csv: line 1: bad; line 2: bad; line 3: bad; line 4: bad; line 5: bad");
        many.push_back({6, "bad"});
        CHECK(message_of(many).ends_with("line 5: bad; and 1 more fault"));
        many.push_back({7, "bad"});
        CHECK(message_of(many).ends_with("line 5: bad; and 2 more faults"));
        CHECK_THROWS_AS(throw_problems("yarn.csv", {}), std::logic_error);
    }

    TEST_CASE("a message stays on one line and cannot steer a terminal, whatever a file put into it") {
        const Error fault(ErrorKind::input, std::string("a.csv: '\x1b[2J\r\n\0b\x7f' is no number\n", 31));
        CHECK(std::string(fault.what()) == "a.csv: ' [2J   b ' is no number");
        CHECK(std::string(Error(ErrorKind::input, "a\xc3\xa9.png: is empty").what()) == "a\xc3\xa9.png: is empty");
        CHECK(one_line(" \n").empty());
    }

    TEST_CASE("a broken contract says its words and its place, and is no Error of the user's") {
        CHECK_NOTHROW(require(true, "all is well"));
        CHECK_THROWS_WITH_AS(require(false, "rows > 0"), doctest::Contains("rows > 0"), std::logic_error);
        CHECK_THROWS_WITH_AS(require(false, "rows > 0"), doctest::Contains("error_test.cpp"), std::logic_error);
    }
}
