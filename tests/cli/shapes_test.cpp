#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <utility>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

/// 24 x 86 pixels, the shape of the usual blank, in upright bars.
std::string bars() {
    std::vector<std::string> rows(86);
    for (std::string& row : rows)
        for (int x = 0; x < 24; ++x) row += x / 6 % 2 == 0 ? "\x1e\x5a\xc8" : "\xdc\x3c\x28";
    return picture_files::png({24, 86, 8, 2}, rows);
}

/// A ball of 211 m typed by hand, a blue and a gold half metre by turns.
std::string ball() {
    std::string csv = "strand,start_mm,length_mm,hex\n";
    for (int i = 0; i < 422; ++i)
        csv += "1," + std::to_string(500 * i) + ",500," + (i % 2 == 0 ? "#2c527f" : "#d9b66c") + "\n";
    return csv;
}

/// A folder with a ball of yarn and a picture of a blank, and what is knitted of them.
class Table {
public:
    Table() {
        folder_.file("ball.csv", ball());
        folder_.file("bars.png", bars());
    }

    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    const TemporaryFolder& folder() const { return folder_; }

    Outcome ran(const std::string& command, const std::string& input, const std::string& to,
                const std::vector<std::string>& more) const {
        std::vector<std::string> arguments = {command, path(input), "-o", path(to)};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return program(arguments);
    }
    /// The summary of a piece knitted from the ball, its picture in "piece.png".
    Json knitted(std::vector<std::string> more, const std::string& input = "ball.csv") const {
        more.emplace_back("--json");
        const Outcome outcome = ran("knit", input, "piece.png", more);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        CHECK(outcome.err.empty());
        CHECK_FALSE(cv::imread(path("piece.png")).empty());
        return Json::parse(outcome.out);
    }
    Json piece(const std::vector<std::string>& more) const { return knitted(more)["knitting"]["balls"][0]; }
    int stitches_planned(const std::vector<std::string>& more) const { return piece(more)["stitches_planned"]; }
    int rounds_planned(const std::vector<std::string>& more) const { return piece(more)["rounds_planned"]; }

    void check_refused(const std::string& command, int code, const std::vector<std::string>& more,
                       const std::string& told) const {
        const std::string to = path(command == "knit" ? "out.png" : "out");
        std::vector<std::string> arguments = {command, path(command == "preview" ? "bars.png" : "ball.csv"), "-o", to};
        arguments.insert(arguments.end(), more.begin(), more.end());
        program_test::check_refused(folder_, arguments, {code, told});
        fs::remove_all(to);
    }

private:
    TemporaryFolder folder_;
};

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("each ball has a look of its own, and the first one's is that of the piece") {
        const Table table;
        const Json summary = table.knitted({"--stitches=24"}, "bars.png");
        const Json& balls = summary["knitting"]["balls"];
        REQUIRE(balls.size() == 2);
        CHECK(balls[0]["look"] == summary["look"]);
        CHECK(balls[1]["look"] != balls[0]["look"]);  // the strands wound about each other: other flecks
        for (const Json& ball : balls)
            CHECK(ball["look"]["stripe"].get<double>() + ball["look"]["pool"].get<double>() +
                      ball["look"]["dash"].get<double>() + ball["look"]["speckle"].get<double>() ==
                  doctest::Approx(1).epsilon(0.001));
    }

    TEST_CASE("a sock of the usual counts takes the stitches of the usual directions") {
        // Cuff of 16 rounds, leg of 60, flap, turn, gusset, foot of 50, toe: common practice, no source.
        const Table table;
        const std::pair<int, int> socks[] = {{56, 9642}, {60, 10'596}, {64, 11'425}, {72, 13'308}};
        for (const auto& [stitches, all] : socks) {
            const auto& this_stitches = stitches;  // clang 14 lets no binding into a lambda
            CAPTURE(this_stitches);
            CHECK(table.stitches_planned({"--shape=sock", "--stitches=" + std::to_string(stitches)}) == all);
        }
        const Json usual = table.knitted({"--shape=sock"})["knitting"];
        CHECK(usual["stitches"] == 64);
        CHECK(usual["balls"][0]["stitches_planned"] == 11'425);
    }

    TEST_CASE("every shape knits, and its parts are told in the summary") {
        const Table table;
        for (const std::string shape : {"sock", "hat", "scarf", "cowl", "shawl", "tube", "flat"}) {
            CAPTURE(shape);
            const Json summary = table.knitted({"--shape=" + shape});
            const Json& knitting = summary["knitting"];
            CHECK(knitting["shape"] == shape);
            const Json& ball = knitting["balls"][0];
            const double yarn_m = ball["yarn_used_m"].get<double>() + ball["yarn_left_m"].get<double>();
            constexpr double kWrittenM = 2e-3;  // two figures of three decimals
            CHECK(std::abs(yarn_m - 211) <= kWrittenM);
            CHECK(ball["rounds"].get<int>() <= ball["rounds_planned"].get<int>());
            CHECK(ball["ran_out"].get<bool>() ==
                  (ball["yarn_used_m"].get<double>() * 1000 + 1 <
                   ball["stitches_planned"].get<double>() * knitting["yarn_per_stitch_mm"].get<double>()));
            CHECK(summary["warnings"].empty() == !ball["ran_out"].get<bool>());
        }
    }

    TEST_CASE("the usual hat, cowl and scarf are as wide as common practice has them") {
        // Common practice, no source: at a gauge of 28 a hat 136 to 152, at 32 a cowl 156 to 192 and a scarf 56 to 72.
        const Table table;
        const auto width = [&](const std::vector<std::string>& more) {
            return table.knitted(more)["knitting"]["stitches"].get<int>();
        };
        const int hat = width({"--shape=hat", "--gauge=28x38"});
        CHECK(hat >= 136);
        CHECK(hat <= 152);
        CHECK(hat % 8 == 0);
        const int scarf = width({"--shape=scarf"});
        CHECK(scarf >= 56);
        CHECK(scarf <= 72);
        const int cowl = width({"--shape=cowl"});
        CHECK(cowl >= 156);
        CHECK(cowl <= 192);
    }

    TEST_CASE("each heel makes another sock, and so does each end to start from") {
        const Table table;
        std::vector<std::string> pictures;
        for (const char* option :
             {"--heel=flap", "--heel=short-row", "--heel=afterthought", "--from-toe", "--ribbed-leg"}) {
            CAPTURE(std::string(option));
            table.knitted({"--shape=sock", option});
            pictures.push_back(bytes_of(table.path("piece.png")));
        }
        for (std::size_t a = 0; a < pictures.size(); ++a)
            for (std::size_t b = a + 1; b < pictures.size(); ++b) CHECK(pictures[a] != pictures[b]);
        table.knitted({"--shape=sock"});
        CHECK(bytes_of(table.path("piece.png")) == pictures[0]);
        // Rib is the same stitches; a heel put in later has no gusset, so it takes fewer.
        CHECK(table.stitches_planned({"--shape=sock", "--ribbed-leg"}) == 11'425);
        CHECK(table.stitches_planned({"--shape=sock", "--heel=afterthought"}) < 11'425);
        CHECK(table.stitches_planned({"--shape=sock", "--heel=short-row"}) < 11'425);
    }

    TEST_CASE("a foot of 22 cm at 32 stitches in 10 cm gives a sock of 64") {
        // gauge x foot x 0.9, to the nearest four: How to Knit Socks (2015), ch. 3.
        const Table table;
        const auto stitches = [&](const std::string& foot, const std::string& gauge) {
            return table.knitted({"--shape=sock", "--foot-round=" + foot, "--gauge=" + gauge})["knitting"]["stitches"]
                .get<int>();
        };
        CHECK(stitches("22cm", "32x42") == 64);
        CHECK(stitches("220mm", "28x38") == 56);
        CHECK(stitches("24cm", "36x46") == 76);
        CHECK(stitches("18cm", "30x40") == 48);
        const Json given = table.knitted({"--shape=sock", "--foot-round=22cm", "--stitches=72"});
        CHECK(given["knitting"]["stitches"] == 72);  // what is counted goes before what is measured
    }

    TEST_CASE("leg and cuff are as many rounds as their lengths hold") {
        const Table table;
        const int usual = table.rounds_planned({"--shape=sock"});  // a leg of 60 rounds and a cuff of 16
        CHECK(table.rounds_planned({"--shape=sock", "--leg=10cm"}) == usual - 60 + 42);
        CHECK(table.rounds_planned({"--shape=sock", "--leg=20cm", "--gauge=32x40"}) == usual - 60 + 80);
        CHECK(table.rounds_planned({"--shape=sock", "--cuff=5cm"}) == usual - 16 + 21);
        CHECK(table.stitches_planned({"--shape=sock", "--leg=10cm"}) == 11'425 - 18 * 64);
    }

    TEST_CASE("a longer foot is longer by its own rounds, whatever the heel") {
        const Table table;
        for (const std::string heel : {"flap", "short-row", "afterthought"}) {
            CAPTURE(heel);
            const auto rounds = [&](const std::string& foot) {
                return table.rounds_planned({"--shape=sock", "--heel=" + heel, "--foot-length=" + foot});
            };
            CHECK(rounds("30cm") - rounds("20cm") == 42);
        }
    }

    TEST_CASE("a ball too short for its piece is told with a warning, and knits as far as it goes") {
        const Table table;
        const Json long_leg = table.knitted({"--shape=sock", "--leg=90cm"});
        CHECK(long_leg["knitting"]["balls"][0]["ran_out"] == true);
        REQUIRE(long_leg["warnings"].size() == 1);
        const std::string warning = long_leg["warnings"][0];
        CHECK(has(warning, "too short for this sock"));
        CHECK(has(warning, "m more is needed"));
        CHECK(table.knitted({"--shape=sock"})["warnings"].empty());
        const Outcome spoken = table.ran("knit", "ball.csv", "piece.png", {"--shape=hat", "--rounds=500"});
        CHECK(spoken.code == kDone);
        CHECK(has(spoken.out, "Warning: "));
        CHECK(has(spoken.out, "too short for this hat"));
        const Json pair = table.knitted({"--shape=sock", "--blank=20x80"}, "bars.png");
        std::string all;
        for (const Json& one : pair["warnings"]) all += one.get<std::string>() + "\n";
        for (const char* name : {"ball A", "ball B"})
            CHECK(has(all, std::string(name) + " is too short for this sock"));
    }

    TEST_CASE("pieces that alternate two ends are knitted in every shape") {
        const Table table;
        for (const std::string shape : {"sock", "hat", "scarf", "cowl", "shawl", "tube", "flat"}) {
            CAPTURE(shape);
            const Json summary = table.knitted({"--shape=" + shape, "--alternate=2"});
            CHECK(summary["knitting"]["alternate"] == 2);
            CHECK(summary["knitting"]["balls"][0]["rounds"].get<int>() > 4);
        }
    }

    TEST_CASE("knitting from the far end turns the colours round") {
        const Table table;
        table.folder().file("halves.csv", "strand,start_mm,length_mm,hex\n1,0,5000,#2c527f\n1,5000,5000,#d9b66c\n");
        table.folder().file("turned.csv", "strand,start_mm,length_mm,hex\n1,0,5000,#d9b66c\n1,5000,5000,#2c527f\n");
        table.knitted({"--shape=sock", "--start=far-end"}, "halves.csv");
        const std::string far_end = bytes_of(table.path("piece.png"));
        table.knitted({"--shape=sock"}, "turned.csv");
        CHECK(bytes_of(table.path("piece.png")) == far_end);
        table.knitted({"--shape=sock"}, "halves.csv");
        CHECK(bytes_of(table.path("piece.png")) != far_end);
    }

    TEST_CASE("preview knits a pair of socks, and plain fabric where the stitches make none") {
        const Table table;
        const auto shape = [&](const std::vector<std::string>& more) {
            std::vector<std::string> options = {"--blank=20x80", "--knitters=2", "--json"};
            options.insert(options.end(), more.begin(), more.end());
            fs::remove_all(table.path("page"));
            const Outcome outcome = table.ran("preview", "bars.png", "page", options);
            CAPTURE(outcome.err);
            REQUIRE(outcome.code == kDone);
            const Json summary = Json::parse(outcome.out);
            const std::string name = summary["knitting"]["shape"];
            CHECK(fs::exists(table.path("page/sock.png")) == (name == "sock"));
            CHECK(fs::exists(table.path("page/index.html")));
            CHECK(fs::exists(table.path("page/fabric.png")));
            return name;
        };
        CHECK(shape({}) == "sock");
        CHECK(shape({"--stitches=66"}) == "tube");
        CHECK(shape({"--rounds=10"}) == "tube");
        CHECK(shape({"--shape=flat"}) == "flat");
        CHECK(shape({"--foot-round=22cm", "--heel=short-row"}) == "sock");
    }

    TEST_CASE("a stitch in a round knits, and the summary says why there are no shares") {
        const Table table;
        const Json summary = table.knitted({"--stitches=1", "--rounds=20"});
        CHECK(summary["look"]["pool"] == 0);
        CHECK(has(summary["look"]["sentence"].get<std::string>(), "16 stitches"));
    }

    TEST_CASE("a round that takes more than the ball is refused before anything is drawn") {
        const Table table;
        table.folder().file("short.csv", "strand,start_mm,length_mm,hex\n1,0,700,#2c527f\n");
        for (const std::string shape : {"tube", "flat", "sock", "hat", "scarf", "cowl"}) {
            CAPTURE(shape);
            const Outcome outcome = table.ran("knit", "short.csv", "out.png", {"--shape=" + shape});
            CHECK(outcome.code == kUsage);
            CHECK(has(outcome.err, "--stitches"));
            CHECK_FALSE(fs::exists(table.path("out.png")));
        }
        table.check_refused("preview", kUsage, {"--blank=20x80", "--gauge=10x10", "--stitches=2000"}, "--stitches");
    }

    TEST_CASE("every slip in the size of a sock names its option") {
        const Table table;
        const std::vector<std::pair<std::string, std::string>> slips = {
            {"--foot-round", "0cm"},  {"--foot-round", "90cm"},  {"--foot-round", "22"},  {"--foot-round", "7.9cm"},
            {"--foot-length", "0cm"}, {"--foot-length", "90cm"}, {"--foot-length", "24"}, {"--foot-length", "8cm"},
            {"--leg", "14"},          {"--leg", "101cm"},        {"--leg", "long"},       {"--cuff", "4"},
            {"--cuff", "101cm"},      {"--heel", "round"},       {"--stitches", "66"},    {"--stitches", "20"},
            {"--stitches", "0"},      {"--rounds", "10"},        {"--rounds", "0"},       {"--gauge", "0x0"},
            {"--gauge", "0x42"},      {"--gauge", "32x0"},       {"--gauge", "nonsense"}, {"--gauge", "32"},
            {"--gauge", "1000x1000"}};
        for (const char* command : {"knit", "preview"})
            for (const auto& [option, value] : slips)
                table.check_refused(command, kUsage, {"--shape=sock", option + "=" + value}, option);
    }

    TEST_CASE("a sock's options are refused for anything else") {
        const Table table;
        for (const std::string shape : {"hat", "scarf", "cowl", "tube", "flat"})
            for (const std::string option : {"--heel=flap", "--from-toe", "--ribbed-leg", "--foot-round=22cm",
                                             "--foot-length=24cm", "--leg=14cm", "--cuff=4cm"})
                table.check_refused("knit", kUsage, {"--shape=" + shape, option}, option.substr(0, option.find('=')));
        table.check_refused("knit", kUsage, {"--heel=flap"}, "--heel");
        table.check_refused("preview", kUsage, {"--stitches=66", "--heel=flap"}, "--heel");
    }

    TEST_CASE("an unknown shape and a shape that a command cannot take are told") {
        const Table table;
        for (const char* command : {"knit", "preview"}) {
            table.check_refused(command, kUsage, {"--shape=mitten"}, "--shape");
            table.check_refused(command, kUsage, {"--shape=hat", "--stitches=10"}, "--stitches");
            table.check_refused(command, kUsage, {"--alternate=0"}, "--alternate");
        }
        table.check_refused("preview", kUsage, {"--shape=shawl"}, "--shape");
        table.check_refused("preview", kUsage, {"--alternate=2"}, "--alternate");
        table.check_refused("preview", kUsage, {"--counts=120-40"}, "--counts");
        table.check_refused("preview", kUsage, {"--knitters=0"}, "--knitters");
        table.check_refused("preview", kUsage, {"--length-sd=2"}, "--length-sd");
        table.check_refused("knit", kUsage, {"--shape=shawl", "--stitches=3"}, "--stitches");
    }

    TEST_CASE("a stitch of any gauge that is accepted can be drawn, or is refused by its option") {
        const Table table;
        for (const char* gauge :
             {"--gauge=200x0.1", "--gauge=200x1", "--gauge=1x1", "--gauge=0.5x0.5", "--gauge=10x60"}) {
            CAPTURE(std::string(gauge));
            const Outcome outcome = table.ran("knit", "ball.csv", "drawn.png", {gauge, "--stitches=24"});
            CAPTURE(outcome.err);
            if (outcome.code == kDone) {
                CHECK_FALSE(cv::imread(table.path("drawn.png")).empty());
            } else {
                CHECK(outcome.code == kUsage);
                CHECK(has(outcome.err, "--"));
            }
        }
    }
}
