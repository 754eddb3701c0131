#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

constexpr double kWritten = 1e-4;  // rounds_per_row to four decimals, and the millimetres it is held against to three

/// A folder with a small picture in it, and the commands run on that picture.
class Table {
public:
    Table() { folder_.file("blank.png", picture_files::pattern_png()); }

    const TemporaryFolder& folder() const { return folder_; }
    std::string picture() const { return (folder_ / "blank.png").string(); }
    std::string output() const { return (folder_ / "out").string(); }

    Outcome unravelled(const std::vector<std::string>& options) const { return ran("unravel", output(), options); }
    Outcome knitted(const std::vector<std::string>& options) const { return ran("knit", output() + ".png", options); }
    Json summary(std::vector<std::string> options) const {
        options.emplace_back("--json");
        const Outcome outcome = unravelled(options);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return Json::parse(outcome.out);
    }

private:
    Outcome ran(const std::string& command, const std::string& to, const std::vector<std::string>& options) const {
        std::vector<std::string> arguments = {command, picture(), "-o", to};
        arguments.insert(arguments.end(), options.begin(), options.end());
        return program(arguments);
    }

    TemporaryFolder folder_;
};

/// The assumed figures, one a line.
std::string assumed(const Json& summary) {
    std::string all;
    for (const Json& what : summary["assumed"]) all += what.get<std::string>() + "\n";
    return all;
}

void check_usage(const Outcome& outcome, const std::vector<std::string>& told) {
    CAPTURE(outcome.err);
    CHECK(outcome.code == kUsage);
    CHECK(outcome.out.empty());
    CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
    for (const std::string& words : told) CHECK(has(outcome.err, words));
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a word that is no choice is refused with the choices listed") {
        struct Choice {
            const char* option;
            std::vector<std::string> words;
        };
        const Choice choices[] = {
            {"--construction", {"flat", "tube"}},
            {"--ravel-edge", {"top", "bottom", "left", "right"}},
            {"--tail", {"left", "right"}},
            {"--rotate", {"0", "90", "180", "270"}},
            {"--fit", {"stretch", "tile", "cover"}},
            {"--painted", {"face", "back", "knit side", "purl side"}},
            {"--treat-as", {"photo", "design"}},
            {"--shape", {"tube", "flat"}},
            {"--strand", {"1", "2", "both", "ball A", "ball B"}},
            {"--start", {"ravel-end", "far-end"}},
        };
        const Table table;
        for (const Choice& choice : choices) {
            const std::string wrong = std::string(choice.option) == "--rotate" ? "45" : "sideways";
            std::vector<std::string> told = choice.words;
            told.insert(told.end(), {choice.option, wrong});
            check_usage(table.unravelled({choice.option, wrong}), told);
        }
        CHECK_FALSE(fs::exists(table.output()));
    }

    TEST_CASE("every word of a choice is taken") {
        const Table table;
        for (const char* option : {"--construction=flat", "--construction=tube",
                                   "--ravel-edge=bottom", "--ravel-edge=left",
                                   "--ravel-edge=right",  "--tail=right",
                                   "--rotate=90",         "--rotate=180",
                                   "--rotate=270",        "--mirror",
                                   "--fit=tile",          "--fit=cover",
                                   "--painted=back",      "--treat-as=design",
                                   "--treat-as=design",   "--shape=flat",
                                   "--strand=1",          "--strand=2",
                                   "--strand=both",       "--start=far-end",
                                   "--strands=1",         "--ground=auto",
                                   "--ground=#2f7d9b"}) {
            CAPTURE(std::string(option));
            CHECK(table.unravelled({"--blank=4x4", "--stitches=2", option}).code == kDone);
        }
    }

    TEST_CASE("an unknown colour is wrong usage, and a name given on the line is known") {
        const Table table;
        check_usage(table.unravelled({"--undyed", "harbour fog"}), {"--undyed", "harbour fog"});
        check_usage(table.unravelled({"--ground", "#12345"}), {"--ground"});
        check_usage(table.unravelled({"--colour", "fog"}), {"fog"});
        CHECK(table.unravelled({"--blank=4x4", "--stitches=2", "--colour", "fog=#d0d4d8", "--undyed", "fog"}).code ==
              kDone);
    }

    TEST_CASE("an unknown option, an unknown command, no command and a missing output are wrong usage") {
        const Table table;
        check_usage(table.unravelled({"--colors", "4"}), {"--colors", "--help"});
        check_usage(program({"unpick", table.picture()}), {"--help"});
        check_usage(program({}), {"--help"});
        check_usage(program({"unravel", table.picture()}), {"--output", "--help"});
        check_usage(program({"unravel", "-o", table.output()}), {"IMAGE", "--help"});
        check_usage(table.unravelled({"--blank"}), {"--blank"});
        CHECK(table.folder().entries() == 1);
    }

    TEST_CASE("help and version are printed and are no faults") {
        const Outcome help = program({"--help"});
        CHECK(help.code == kDone);
        CHECK(help.err.empty());
        for (const char* command : {"preview", "unravel", "knit"}) {
            CHECK(has(help.out, command));
            const Outcome own = program({command, "--help"});
            CHECK(own.code == kDone);
            CHECK(own.err.empty());
            for (const char* option : {"--output",         "--json",          "--config",
                                       "--seed",           "--blank",         "--size",
                                       "--strands",        "--strand-length", "--loop",
                                       "--construction",   "--ravel-edge",    "--tail",
                                       "--rotate",         "--mirror",        "--fit",
                                       "--painted",        "--other-side",    "--ground",
                                       "--undyed",         "--wrap",          "--penetration",
                                       "--creep",          "--treat-as",      "--colour",
                                       "--stitches",       "--gauge",         "--yarn-per-stitch",
                                       "--yarn-per-round", "--shape",         "--rounds",
                                       "--strand",         "--start"}) {
                CAPTURE(std::string(option));
                CHECK(has(own.out, option));
            }
        }
        const Outcome version = program({"--version"});
        CHECK(version.code == kDone);
        CHECK(version.err.empty());
        CHECK(version.out.rfind("loopread ", 0) == 0);
    }

    TEST_CASE("a config file sets options of every kind") {
        const Table table;
        const std::string config = table.folder()
                                       .file("own.toml",
                                             "blank = \"6x5\"\nstrands = 1\nwrap = 0.25\nmirror = true\nstitches = 3\n"
                                             "colour = [\"fog=#d0d4d8\"]\nundyed = \"fog\"\nloop = \"20mm\"\n")
                                       .string();
        const Json by_file = table.summary({"--config", config});
        CHECK(by_file["blank"]["stitches"] == 6);
        CHECK(by_file["blank"]["rows"] == 5);
        CHECK(by_file["blank"]["strands"] == 1);
        const std::string yarn = bytes_of(table.output() + "/yarn.csv");
        const Json by_line = table.summary({"--blank=6x5", "--strands=1", "--wrap=0.25", "--mirror", "--stitches=3",
                                            "--colour", "fog=#d0d4d8", "--undyed=fog", "--loop=20mm"});
        CHECK(by_file == by_line);
        CHECK(yarn == bytes_of(table.output() + "/yarn.csv"));
        table.summary({"--blank=6x5", "--strands=1", "--wrap=0.25", "--stitches=3", "--undyed=#d0d4d8", "--loop=20mm"});
        CHECK(yarn != bytes_of(table.output() + "/yarn.csv"));
    }

    TEST_CASE("what stands on the command line wins over the config file") {
        const Table table;
        const std::string config =
            table.folder().file("own.toml", "blank = \"6x5\"\nstitches = 3\nloop = \"20mm\"\n").string();
        for (const std::vector<std::string>& given : {std::vector<std::string>{"--blank", "7x4", "--config", config},
                                                      std::vector<std::string>{"--config=" + config, "--blank=7x4"}}) {
            const Json summary = table.summary(given);
            CHECK(summary["blank"]["stitches"] == 7);
            CHECK(summary["blank"]["rows"] == 4);
            CHECK(summary["blank"]["loop_mm"] == 20.0);
        }
    }

    TEST_CASE("an output in the config file is used, and -o on the command line wins over it") {
        const Table table;
        const std::string elsewhere = (table.folder() / "elsewhere").string();
        const std::string config =
            table.folder().file("own.toml", "blank = \"6x5\"\nstitches = 3\noutput = \"" + elsewhere + "\"\n").string();
        const Outcome won = table.unravelled({"--config", config});
        CAPTURE(won.err);
        CHECK(won.code == kDone);
        CHECK(fs::exists(table.output() + "/yarn.csv"));
        CHECK_FALSE(fs::exists(elsewhere));
        CHECK(program({"unravel", table.picture(), "--config", config}).code == kDone);
        CHECK(fs::exists(elsewhere + "/yarn.csv"));
    }

    TEST_CASE("a config file that is missing or broken is unusable input, and a wrong option in it wrong usage") {
        const Table table;
        const auto with = [&](const std::string& text) {
            return table.unravelled({"--config", table.folder().file("own.toml", text).string()});
        };
        const Outcome missing = table.unravelled({"--config", (table.folder() / "none.toml").string()});
        CHECK(missing.code == kInput);
        CHECK(has(missing.err, "none.toml"));
        const Outcome broken = with("stitches = 64\nblank = 46x214\n");
        CHECK(broken.code == kInput);
        CHECK(has(broken.err, "own.toml"));
        CHECK(has(broken.err, "line 2"));
        CHECK(broken.err.find('\n') == broken.err.size() - 1);
        check_usage(with("stiches = 64\n"), {"stiches"});
        check_usage(with("stitches = \"many\"\n"), {"--stitches"});
        check_usage(with("stitches = 1979-05-27\n"), {"own.toml", "stitches"});
        check_usage(with("[blank]\nrows = 5\n"), {"own.toml", "blank"});
        CHECK_FALSE(fs::exists(table.output()));
    }

    TEST_CASE("the JSON of unravel is all that is printed and holds every key it must") {
        const Table table;
        const Outcome outcome = table.unravelled({"--blank=6x5", "--stitches=3", "--json"});
        REQUIRE(outcome.code == kDone);
        CHECK(outcome.err.empty());
        const Json json = Json::parse(outcome.out);  // throws if anything else is printed
        CHECK(outcome.out == bytes_of(table.output() + "/summary.json"));
        for (const char* key : {"stitches", "rows", "strands", "construction", "loop_mm", "strand_length_m"}) {
            CAPTURE(std::string(key));
            CHECK(json.at("blank").contains(key));
        }
        REQUIRE(json.at("strands").size() == 2);
        for (const Json& strand : json["strands"]) {
            CHECK(strand.at("length_m").get<double>() ==
                  doctest::Approx(json["blank"]["strand_length_m"].get<double>()).epsilon(1e-3));
            CHECK(strand.at("mean_lab").size() == 3);
        }
        CHECK(json["strands"][0].at("strand") == 1);
        CHECK(json["strands"][1].at("strand") == 2);
        CHECK(json.at("pair").at("p95_de00").get<double>() >= json.at("pair").at("mean_de00").get<double>());
        CHECK(json.at("assumed").is_array());
        CHECK(json.at("warnings").is_array());
        // a row of six loops of 21 mm over a round of three stitches
        const double round_mm = json.at("yarn_per_round_mm").get<double>();
        CHECK(std::abs(json.at("rounds_per_row").get<double>() - 6 * 21 / round_mm) <= kWritten);
    }

    TEST_CASE("without --json there is a report to read, and the files are named in it") {
        const Table table;
        const Outcome outcome = table.unravelled({"--blank=6x5", "--stitches=3"});
        REQUIRE(outcome.code == kDone);
        CHECK(outcome.err.empty());
        CHECK_FALSE(Json::accept(outcome.out));
        for (const char* file : {"yarn.csv", "runs.csv", "strands.png", "summary.json"}) CHECK(has(outcome.out, file));
    }

    TEST_CASE("defaults are marked as not measured, and figures that were given are not") {
        const Table table;
        const std::string all = assumed(table.summary({}));
        for (const char* figure : {"46 stitches x 214 rows (not measured)", "a blank of 24 x 86 cm (not measured)",
                                   "m of yarn in a strand (not measured)", "mm of yarn in a loop (not measured)",
                                   "two strands held together (not measured)"}) {
            CAPTURE(std::string(figure));
            CHECK(has(all, figure));
        }
        CHECK(has(all, "creeps 2 mm before it sets (not measured)"));
        CHECK(has(all, "penetration, not measured"));
        CHECK(has(all, "cm of yarn in a round of 64 stitches (from the gauge, not measured)"));

        const std::string given =
            assumed(table.summary({"--blank=46x214", "--size=24x86cm", "--strand-length=211m", "--loop=21.4mm",
                                   "--strands=2", "--creep=1mm", "--penetration=0.3", "--wrap=0.6",
                                   "--yarn-per-round=84cm", "--gauge=32x42", "--ground=#f3ede0", "--treat-as=design"}));
        CHECK(given == "");
    }

    TEST_CASE("knit side, purl side, ball A and ball B are the same as face, back, 1 and 2") {
        const Table table;
        const auto yarn = [&](const std::string& side) {
            CHECK(table.unravelled({"--blank=6x5", "--stitches=3", "--painted", side}).code == kDone);
            return bytes_of(table.output() + "/yarn.csv");
        };
        CHECK(yarn("knit side") == yarn("face"));
        CHECK(yarn("purl side") == yarn("back"));
        CHECK(yarn("face") != yarn("back"));
        const auto fabric = [&](const std::string& ball) {
            CHECK(table.knitted({"--blank=6x5", "--stitches=3", "--strand", ball}).code == kDone);
            return bytes_of(table.output() + ".png");
        };
        CHECK(fabric("ball A") == fabric("1"));
        CHECK(fabric("ball B") == fabric("2"));
        CHECK(fabric("1") != fabric("2"));
        CHECK(fabric("both") != fabric("1"));
    }

    TEST_CASE("a ball that is not there cannot be knitted") {
        const Table table;
        check_usage(table.knitted({"--blank=6x5", "--stitches=3", "--strands=1", "--strand", "ball B"}), {"--strand"});
        CHECK(table.knitted({"--blank=6x5", "--stitches=3", "--strands=1", "--strand", "both"}).code == kDone);
    }

    TEST_CASE("yarn by the stitch and by the round are two ways to say one thing, and both at once are refused") {
        const Table table;
        check_usage(table.knitted({"--yarn-per-stitch=13mm", "--yarn-per-round=84cm"}), {"--yarn-per-round"});
        const Json by_stitch = table.summary({"--blank=6x5", "--stitches=4", "--yarn-per-stitch=13mm"});
        const Json by_round = table.summary({"--blank=6x5", "--stitches=4", "--yarn-per-round=5.2cm"});
        CHECK(by_stitch["rounds_per_row"] == by_round["rounds_per_row"]);
    }
}
