#include "loopread/report/dye_table.h"

#include <doctest/doctest.h>

#include <stdexcept>
#include <string>

using namespace loopread;

namespace {

const std::string kPage =
    "<html><script type=\"application/json\" id=\"start-state\"></script><script>go()</script></html>";

}  // namespace

TEST_SUITE("report") {
    TEST_CASE("a start state stands where the page looks for it") {
        CHECK(with_start_state(kPage, "{\"a\":1}") ==
              "<html><script type=\"application/json\" "
              "id=\"start-state\">{\"a\":1}</script><script>go()</script></html>");
    }

    TEST_CASE("no text in a start state ends its script or begins a comment") {
        const std::string page = with_start_state(kPage, R"({"title":"</script><!-- <b>tea"})");
        CHECK(page.find("</script><!--") == std::string::npos);
        CHECK(page.find(R"({"title":"\u003c/script>\u003c!-- \u003cb>tea"})") != std::string::npos);
    }

    TEST_CASE("a page with no place for a start state, or two, breaks the contract") {
        CHECK_THROWS_AS(with_start_state("<html></html>", "{}"), std::logic_error);
        CHECK_THROWS_AS(with_start_state(kPage + kPage, "{}"), std::logic_error);
    }
}
