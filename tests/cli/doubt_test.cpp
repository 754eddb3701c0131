#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
using Json = nlohmann::json;

namespace {

/// Upright bars, 24 x 80 pixels.
std::string bars() {
    std::vector<std::string> rows(80);
    for (std::string& row : rows)
        for (int x = 0; x < 24; ++x) row += x / 6 % 2 == 0 ? "\xdc\x3c\x28" : "\x1e\x5a\xc8";
    return picture_files::png({24, 80, 8, 2}, rows);
}

/// A folder with a small blank's picture, and what commands make of it.
class Bench {
public:
    Bench() { folder_.file("bars.png", bars()); }

    std::string file(const std::string& name, const std::string& bytes) const { return folder_.file(name, bytes); }
    std::string path(const std::string& name) const { return (folder_.path() / name).string(); }

    /// @param options  besides a small blank and a small gauge, so that it is quick
    Outcome ran(const std::string& command, const std::vector<std::string>& options,
                const std::string& input = "bars.png") const {
        std::vector<std::string> arguments{command, path(input)};
        if (input == "bars.png")
            for (const char* word : {"--blank", "24x70", "--loop", "21mm"}) arguments.emplace_back(word);
        for (const char* word : {"--stitches", "24"}) arguments.emplace_back(word);
        if (command == "pooling")
            for (const char* word : {"--counts", "20-28", "--knitters", "20"}) arguments.emplace_back(word);
        arguments.insert(arguments.end(), options.begin(), options.end());
        arguments.insert(arguments.end(), {"-o", path(command == "knit" ? "out.png" : "out")});
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        CHECK(outcome.code == kDone);
        return outcome;
    }
    Json summary(const std::string& command, std::vector<std::string> options,
                 const std::string& input = "bars.png") const {
        options.emplace_back("--json");
        return Json::parse(ran(command, options, input).out);
    }

private:
    TemporaryFolder folder_;
};

const Json& figure(const Json& how_sure, const std::string& name) {
    for (const Json& one : how_sure["quantities"])
        if (one["name"] == name) return one;
    FAIL("no figure of that name");
    return how_sure;
}

void check_band(const Json& band) {
    CHECK(band["p5"].get<double>() <= band["median"].get<double>());
    CHECK(band["median"].get<double>() <= band["p95"].get<double>());
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("pooling says how sure it is: in its summary, in words, and on the chart") {
        const Bench bench;
        const Json summary = bench.summary("pooling", {"--draws", "40"});
        const Json& sure = summary["how_sure"];
        CHECK(sure["draws"] == 40);
        int draws = 0;
        for (const auto& [kind, count] : sure["verdicts"].items()) draws += count.get<int>();
        CHECK(draws == 40);
        for (const char* share : {"stripe", "pool", "dash", "speckle"}) check_band(sure["shares"][share]);
        check_band(sure["pool_risk"]);
        check_band(sure["pair_mean_de00"]);
        for (const char* name : {"wrap", "penetration", "winding_mm", "wander_degrees", "yarn_per_round_mm"}) {
            const Json& one = figure(sure, name);
            CHECK(one["drawn"] == true);
            CHECK(one["from"].get<double>() < one["in_use"].get<double>());
            CHECK(one["in_use"].get<double>() < one["to"].get<double>());
            CHECK_FALSE(one["why"].get<std::string>().empty());
        }
        const std::string with_band = bytes_of(bench.path("out/pooling.png"));
        const Outcome words = bench.ran("pooling", {"--draws", "40"});
        CHECK(has(words.out, sure["sentence"].get<std::string>()));
        CHECK(has(words.out, "40 trials with other guesses at what was not measured; in nine trials of ten, "));
        CHECK(bytes_of(bench.path("out/pooling.png")) == with_band);
        const Json without = bench.summary("pooling", {"--draws", "0"});
        CHECK_FALSE(without.contains("how_sure"));
        CHECK(bytes_of(bench.path("out/pooling.png")) != with_band);
    }

    TEST_CASE("what was measured is held, and said to be") {
        const Bench bench;
        const Json sure = bench.summary("pooling", {"--draws", "20", "--wrap", "0.6", "--penetration", "0.2",
                                                    "--yarn-per-round", "30cm", "--winding", "10cm"})["how_sure"];
        for (const char* name : {"wrap", "penetration", "yarn_per_round_mm", "winding_mm"}) {
            const Json& one = figure(sure, name);
            CHECK(one["drawn"] == false);
            CHECK(one["from"] == one["in_use"]);
            CHECK(one["to"] == one["in_use"]);
        }
        CHECK(sure["yarn_per_round_mm"]["p5"] == sure["yarn_per_round_mm"]["p95"]);
        CHECK(figure(sure, "wander_degrees")["drawn"] == true);
        const Json gauge = bench.summary("pooling", {"--draws", "20", "--gauge", "30x40"})["how_sure"];
        const Json none = bench.summary("pooling", {"--draws", "20"})["how_sure"];
        const auto width = [](const Json& how_sure) {
            const Json& one = figure(how_sure, "yarn_per_round_mm");
            return (one["to"].get<double>() - one["from"].get<double>()) / one["in_use"].get<double>();
        };
        CHECK(width(gauge) < width(none) / 2);
        CHECK(width(gauge) > 0);
    }

    TEST_CASE("a base measured once is drawn from within what its photos allow") {
        const Bench bench;
        bench.file("base.toml", "penetration = 0.5\npenetration_range = [0.42, 0.63]\nwhen = \"2025-04-30\"\n");
        const Json sure = bench.summary("knit", {"--draws", "20", "--base", bench.path("base.toml")})["how_sure"];
        const Json& one = figure(sure, "penetration");
        CHECK(one["from"] == 0.42);
        CHECK(one["in_use"] == 0.5);
        CHECK(one["to"] == 0.63);
        CHECK(figure(sure, "wrap")["from"] < 0.6);
    }

    TEST_CASE("knit says it too, and the verdict in use is the look it tells") {
        const Bench bench;
        for (const std::string turns : {"0", "2"}) {
            std::vector<std::string> options{"--draws", "20"};
            if (turns != "0") options.insert(options.end(), {"--alternate", turns});
            const Json summary = bench.summary("knit", options);
            CHECK(summary["how_sure"]["verdict_in_use"] == summary["look"]["verdict"]);
            CHECK_FALSE(summary["how_sure"].contains("pool_risk"));
            CHECK(has(bench.ran("knit", options).out, summary["how_sure"]["sentence"].get<std::string>()));
        }
    }

    TEST_CASE("of one strand nothing winds, and of a yarn file only the yarn in a round is left to guess") {
        const Bench bench;
        const Json one = bench.summary("knit", {"--draws", "20", "--strands", "1"})["how_sure"];
        CHECK(one["quantities"].size() == 3);
        CHECK(one["pair_mean_de00"].is_null());
        std::string yarn = "strand,start_mm,length_mm,hex\n";
        for (int i = 0; i < 100; ++i)
            yarn += "1," + std::to_string(300 * i) + ",300," + (i % 2 == 0 ? "#2c527f" : "#d9b66c") + "\n";
        bench.file("ropes.csv", yarn);
        const Json of_file = bench.summary("knit", {"--draws", "20"}, "ropes.csv")["how_sure"];
        REQUIRE(of_file["quantities"].size() == 1);
        CHECK(of_file["quantities"][0]["name"] == "yarn_per_round_mm");
        const Json known = bench.summary("pooling", {"--yarn-per-round", "31cm"}, "ropes.csv")["how_sure"];
        CHECK(has(known["sentence"], "Nothing had to be guessed"));
        CHECK_FALSE(known.contains("draws"));
    }

    TEST_CASE("draws that cannot be counted are refused") {
        const TemporaryFolder folder;
        const std::string picture = folder.file("bars.png", bars());
        const std::string out = (folder.path() / "out").string();
        for (const char* draws : {"-1", "10001"})
            check_refused(folder, {"pooling", picture, "--draws", draws, "-o", out}, {.told = "--draws"});
    }
}
