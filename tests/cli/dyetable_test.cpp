#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/photo/write.h"

using namespace loopread;
using namespace loopread::program_test;
using Json = nlohmann::json;

namespace {

/// The document that the page starts from.
Json start_state(const std::string& page) {
    const std::string begin = R"(<script type="application/json" id="start-state">)";
    const auto from = page.find(begin);
    REQUIRE(from != std::string::npos);
    const auto to = page.find("</script>", from);
    const std::string text = page.substr(from + begin.size(), to - from - begin.size());
    return text.empty() ? Json() : Json::parse(text);
}

class Pages {
public:
    std::string file(const std::vector<std::string>& more) {
        std::vector<std::string> arguments = {"dyetable", "-o", (folder_ / "table.html").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return bytes_of(folder_ / "table.html");
    }
    const TemporaryFolder& folder() const { return folder_; }

private:
    TemporaryFolder folder_;
};

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the dye table is one page that may not connect anywhere and is under 3 MB") {
        Pages pages;
        const std::string page = pages.file({});
        CHECK(page.find("Content-Security-Policy") != std::string::npos);
        CHECK(page.find("default-src 'none'") != std::string::npos);
        CHECK(page.find("connect-src") == std::string::npos);
        CHECK(page.size() < 3'000'000);
        CHECK(start_state(page).is_null());
    }

    TEST_CASE("the dye table starts from a picture with the blank and the knitting that were asked for") {
        Pages pages;
        Image picture(60, 20, {0.2, 0.4, 0.6});
        const std::string file = pages.folder().file("tide & <b>.png", png_bytes(encoded(picture))).string();
        const Json state =
            start_state(pages.file({file, "--blank=20x60", "--rotate=180", "--stitches=60", "--creep=3mm",
                                    "--yarn-per-round=80cm", "--heel=short-row", "--seed=5"}));
        CHECK(state["title"] == "tide & <b>");
        CHECK(state["blank"]["stitches"] == 20);
        CHECK(state["blank"]["rows"] == 60);
        CHECK(state["way"]["rotate"] == 180);
        CHECK(state["knitting"]["stitches"] == 60);
        CHECK(state["knitting"]["yarn_per_round_cm"] == 80);
        CHECK(state["knitting"]["heel"] == "short-row");
        CHECK(state["dye"]["creep_mm"] == 3);
        CHECK(state["seed"] == 5);
        const std::string key = state["picture"]["image"];
        CHECK(state["pictures"][key]["data"].get<std::string>().rfind("data:image/png;base64,", 0) == 0);
    }

    TEST_CASE("a layered design lies on the dye table as its bath and its stencils") {
        Pages pages;
        const Json state = start_state(pages.file({std::string(LOOPREAD_SAMPLES) + "/lanterns.toml"}));
        REQUIRE(state["layers"].size() == 2);
        CHECK(state["layers"][0]["name"] == "lantern bodies");
        CHECK(state["layers"][0]["colour"] == "#d8455a");
        CHECK(state["layers"][1]["penetration"] == 0.4);
        CHECK(state["picture"]["penetration"] == 1.0);
        CHECK(state["pictures"].size() == 3);
    }
}
