#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"

using namespace loopread;
using namespace loopread::program_test;
using Json = nlohmann::json;

namespace {

const std::string kYarnHead = "strand,start_mm,length_mm,hex\n";

struct PngSize {
    std::uint32_t width = 0, height = 0;
};
/// From the header chunk, big-endian [PNG 2003].
PngSize png_size(const std::string& bytes) {
    const auto number = [&](std::size_t at) {
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
        return value;
    };
    return {number(16), number(20)};
}

class Table {
public:
    std::string path(const std::string& name) const { return (folder_.path() / name).string(); }
    std::string file(const std::string& name, const std::string& bytes) const {
        std::ofstream(folder_.path() / name, std::ios::binary) << bytes;
        return path(name);
    }
    std::string yarn() const {
        return file("yarn.csv",
                    kYarnHead + "1,0,40000,#2c527f\n1,40000,40000,#d9b66c\n2,0,40000,#2c527f\n2,40000,40000,#b43f3a\n");
    }
    Outcome ran(const std::string& input, std::vector<std::string> more) const {
        std::vector<std::string> arguments{"skein", input, "-o", path("out"), "--pixels=240"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return program(arguments);
    }
    std::string result(const std::string& name) const { return bytes_of(folder_.path() / "out" / name); }
    bool has_result(const std::string& name) const { return std::filesystem::exists(folder_.path() / "out" / name); }
    const TemporaryFolder& folder() const { return folder_; }

private:
    TemporaryFolder folder_;
};

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a blank becomes a skein, a hank, a ball, a cake, a pair and is half ravelled") {
        const Table table;
        const Outcome outcome =
            table.ran(std::string(LOOPREAD_SAMPLES) + "/tide-lines.png", {"--blank=20x40", "--json"});
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        const Json summary = Json::parse(outcome.out);
        CHECK(summary["pictures"].size() == 6);
        for (const char* name : {"skein.png", "hank.png", "ball.png", "cake.png", "pair.png", "half-ravelled.png"}) {
            CAPTURE(std::string(name));
            const std::string bytes = table.result(name);
            CHECK(bytes.rfind("\x89PNG", 0) == 0);
            CHECK(has(bytes.substr(0, 200), "sRGB"));  // shops take colours without a profile for something else
            CHECK(png_size(bytes).width == 240);
            CHECK(png_size(bytes).height == 240);
        }
        CHECK(summary["notes"].empty());
    }

    TEST_CASE("turns are length over girth") {
        const Table table;
        const Outcome outcome = table.ran(table.yarn(), {"--json", "--girth=1.6m", "--only=hank"});
        REQUIRE(outcome.code == kDone);
        CHECK(Json::parse(outcome.out)["turns"] == 50);
        CHECK(table.has_result("hank.png"));
        CHECK_FALSE(table.has_result("skein.png"));
    }

    TEST_CASE("shapes are as asked for, the longer side given") {
        const Table table;
        for (const auto& [aspect, width, height] : {std::tuple{"4:3", 240U, 180U}, {"4:5", 192U, 240U}}) {
            const auto& this_aspect = aspect;  // clang 14 lets no binding into a lambda
            CAPTURE(std::string(this_aspect));
            REQUIRE(table.ran(table.yarn(), {std::string("--aspect=") + aspect, "--only=ball"}).code == kDone);
            const PngSize size = png_size(table.result("ball.png"));
            CHECK(size.width == width);
            CHECK(size.height == height);
        }
    }

    TEST_CASE("every ground, both ends outside, crimp and strands together make other pictures") {
        const Table table;
        REQUIRE(table.ran(table.yarn(), {}).code == kDone);
        const std::string skein = table.result("skein.png"), ball = table.result("ball.png"),
                          pair = table.result("pair.png");
        for (const char* ground : {"linen", "slate", "#203040", "blue-1"}) {
            CAPTURE(std::string(ground));
            REQUIRE(table.ran(table.yarn(), {std::string("--on=") + ground, "--only=skein"}).code == kDone);
            CHECK(table.result("skein.png") != skein);
        }
        REQUIRE(table.ran(table.yarn(), {"--crimp"}).code == kDone);
        CHECK(table.result("skein.png") != skein);
        CHECK(table.result("ball.png") == ball);
        REQUIRE(table.ran(table.yarn(), {"--outside=ravel-end", "--together"}).code == kDone);
        CHECK(table.result("skein.png") == skein);
        CHECK(table.result("ball.png") != ball);
        CHECK(table.result("pair.png") != pair);
    }

    TEST_CASE("the same command draws the same bytes") {
        const Table table;
        REQUIRE(table.ran(table.yarn(), {"--only=skein", "--only=cake"}).code == kDone);
        const std::string skein = table.result("skein.png"), cake = table.result("cake.png");
        REQUIRE(table.ran(table.yarn(), {"--only=skein", "--only=cake"}).code == kDone);
        CHECK(table.result("skein.png") == skein);
        CHECK(table.result("cake.png") == cake);
    }

    TEST_CASE("a yarn file has no blank to ravel, and one strand makes no pair: both are said") {
        const Table table;
        const std::string one = table.file("one.csv", kYarnHead + "1,0,30000,#2c527f\n");
        const Outcome outcome = table.ran(one, {"--json"});
        REQUIRE(outcome.code == kDone);
        CHECK(Json::parse(outcome.out)["notes"].size() == 2);
        CHECK_FALSE(table.has_result("pair.png"));
        CHECK_FALSE(table.has_result("half-ravelled.png"));
        CHECK(table.ran(one, {"--only=pair"}).code == kUsage);
        CHECK(table.ran(one, {"--only=half-ravelled"}).code == kUsage);
        CHECK(table.ran(one, {"--strand=2"}).code == kUsage);
    }

    TEST_CASE("a strand shorter than one turn is unusable, and the line says how long it is") {
        const Table table;
        const std::string yarn = table.file("short.csv", kYarnHead + "1,0,1200,#2c527f\n");
        check_refused(table.folder(), {"skein", yarn, "-o", table.path("out")},
                      {kInput, "1.2 m long, shorter than one turn"});
        const std::string long_yarn = table.file("long.csv", kYarnHead + "1,0,3000000,#2c527f\n");
        check_refused(table.folder(), {"skein", long_yarn, "-o", table.path("out")}, {kInput, "longer than 2000 m"});
    }

    TEST_CASE("every slip in an option is wrong usage that names it") {
        const Table table;
        const std::string yarn = table.yarn();
        const std::vector<std::pair<std::string, std::string>> slips = {
            {"--pixels", "0"},   {"--pixels", "50000"}, {"--pixels", "-3"},   {"--pixels", "many"}, {"--aspect", "1:7"},
            {"--on", "marble"},  {"--on", "#12"},       {"--girth", "1.5"},   {"--girth", "0m"},    {"--girth", "20m"},
            {"--girth", "10cm"}, {"--strand", "3"},     {"--strand", "both"}, {"--outside", "top"}, {"--ball", "50"},
            {"--ball", "0g"},    {"--ball", "-5g"},     {"--ball", "heavy"},  {"--ball", "0.01g"},  {"--only", "socks"},
            {"--seed", "-1"}};
        for (const auto& [option, value] : slips)
            check_refused(table.folder(), {"skein", yarn, "-o", table.path("out"), option + "=" + value},
                          {kUsage, option});
    }

    TEST_CASE("no input is overwritten, and none is missed silently") {
        const Table table;
        check_refused(table.folder(), {"skein", table.path("none.csv"), "-o", table.path("out")}, {kInput, "none.csv"});
    }
}
