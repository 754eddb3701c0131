#include "loopread/report/knitter_page.h"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

#include "loopread/report/dye_table.h"

using namespace loopread;
using Json = nlohmann::json;

namespace {

const std::string kOpening = "<script type=\"application/json\" id=\"start-state\">";
const std::string kPage = "<html>" + kOpening + "</script><script>go()</script></html>";
const std::string kState = R"({"loopread":1,"title":"harbour","blank":{"stitches":46},"layers":[]})";

std::string state_text(const std::string& page) {
    const auto from = page.find(kOpening) + kOpening.size();
    return page.substr(from, page.find("</script>", from) - from);
}

/// What a reader of JSON by another hand makes of it.
Json state_of(const std::string& page) {
    return Json::parse(state_text(page));
}

}  // namespace

TEST_SUITE("report") {
    TEST_CASE("the knitter's page holds the blank as it was, and what the dyer says beside it") {
        const Json state = state_of(knitter_page(kPage, kState,
                                                 {.title = "Lanterns",
                                                  .maker = "The harbour dyehouse",
                                                  .words = "Dyed at dusk.",
                                                  .address = "https://example.org/a",
                                                  .code_png = "foobar"}));
        Json blank = state;
        blank.erase("reading");
        CHECK(blank == Json::parse(kState));
        CHECK(state["reading"] == Json{{"title", "Lanterns"},
                                       {"maker", "The harbour dyehouse"},
                                       {"words", "Dyed at dusk."},
                                       {"address", "https://example.org/a"},
                                       {"qr", "data:image/png;base64,Zm9vYmFy"}});  // [RFC 4648, section 10]
    }

    TEST_CASE("no code stands on the knitter's page where no address was given") {
        const Json state = state_of(knitter_page(kPage, kState, {.title = "Lanterns"}));
        CHECK_FALSE(state["reading"].contains("qr"));
        CHECK(state["reading"]["address"] == "");
    }

    TEST_CASE("markup, quotes, line ends and any letter in the dyer's words stay text") {
        const std::string bad =
            "</script><!--<script>alert(1)</script>\\\"'&\n\t\x01\x1f \xc3\xa9 \xe2\x82\xac \\u0041";
        const std::string page = knitter_page(
            kPage, kState, {.title = bad, .maker = bad, .words = bad, .address = bad, .code_png = "\x89PNG"});
        CHECK(state_text(page).find('<') == std::string::npos);
        CHECK(page.ends_with("</script><script>go()</script></html>"));
        const Json reading = state_of(page)["reading"];
        for (const char* key : {"title", "maker", "words", "address"}) CHECK(reading[key] == bad);
    }

    TEST_CASE("a state that is no object with members breaks the contract, and so does a blank with no title") {
        for (const char* state : {"", "{}", "[1,2]", "null"})
            CHECK_THROWS_AS(knitter_page(kPage, state, {.title = "Lanterns"}), std::logic_error);
        CHECK_THROWS_AS(knitter_page(kPage, kState, {.title = ""}), std::logic_error);
    }

    TEST_CASE("the page built into this program has a place for a knitter's blank") {
        if (dye_table_page().empty()) return;  // built without it
        CHECK(state_of(knitter_page(dye_table_page(), kState, {.title = "Lanterns"}))["reading"]["title"] ==
              "Lanterns");
    }
}
