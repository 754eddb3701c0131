#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/examples.h"
#include "cli/option_table.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;

namespace {

const std::string kSamples = LOOPREAD_SAMPLES;
constexpr const char* kYarnColumns = "strand,start_mm,length_mm,course,wale,part,L,a,b,hex";
constexpr const char* kRunColumns = "strand,start_m,length_cm,colour,hex";
constexpr double kWrittenMm = 2e-4;  // start and length have four decimals in yarn.csv
constexpr double kWrittenM = 2e-3;   // starts have three decimals of a metre in runs.csv, lengths one of a centimetre

int code_of(const std::vector<std::string>& arguments) {
    const Outcome outcome = program(arguments);
    CAPTURE(outcome.err);
    CHECK(outcome.err.empty());
    return outcome.code;
}

std::map<std::string, std::string> files_in(const fs::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::directory_iterator(folder))
        files[entry.path().filename().string()] = bytes_of(entry.path());
    return files;
}

/// Names in the order of the alphabet, a space after each.
std::string names(const std::map<std::string, std::string>& files) {
    std::string all;
    for (const auto& [name, bytes] : files) all += name + " ";
    return all;
}

std::vector<std::string> split(const std::string& text, char at) {
    std::vector<std::string> parts;
    std::istringstream in(text);
    for (std::string part; std::getline(in, part, at);) parts.push_back(part);
    return parts;
}

/// What a command wrote into a folder of its own.
std::map<std::string, std::string> written(const std::string& command, const std::string& image,
                                           const std::vector<std::string>& more) {
    const TemporaryFolder folder;
    std::vector<std::string> arguments = {command, image, "-o", (folder / "out").string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    REQUIRE(code_of(arguments) == 0);
    return files_in(folder / "out");
}

std::string small_picture(const TemporaryFolder& folder) {
    return folder.file("small.png", picture_files::pattern_png()).string();
}
const std::vector<std::string> kSmall = {"--blank=12x10", "--stitches=5"};

std::vector<std::string> with_seed(const std::string& seed) {
    std::vector<std::string> options = kSmall;
    options.insert(options.end(), {"--seed", seed});
    return options;
}

/// The fenced lines of the README that run the program, without its name.
/// A line as a shell parts it: at spaces, but not within quotes.
std::vector<std::string> shell_words(const std::string& line) {
    std::vector<std::string> words;
    char quote = 0;
    bool within = false;
    for (const char c : line) {
        if (quote == 0 && c == ' ') {
            within = false;
            continue;
        }
        if (!within) words.emplace_back();
        within = true;
        if (c == quote)
            quote = 0;
        else if (quote == 0 && (c == '"' || c == '\''))
            quote = c;
        else
            words.back() += c;
    }
    return words;
}

std::vector<std::string> readme_lines() {
    std::vector<std::string> lines;
    bool fenced = false;
    for (const std::string& line : split(bytes_of(LOOPREAD_SOURCE "/README.md"), '\n')) {
        if (line.rfind("```", 0) == 0) fenced = !fenced;
        if (fenced && line.rfind("build/loopread ", 0) == 0) lines.push_back(line.substr(std::string("build/").size()));
    }
    return lines;
}

/// "every command has two examples, and each of them runs as it stands" runs these.
std::set<std::string> lines_run_as_examples() {
    const Table table;
    std::set<std::string> lines;
    for (const CLI::App* command : table.commands())
        for (const cli::Example& example : cli::examples_of(*command)) lines.insert(example.line);
    return lines;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the same picture, options and seed give the same bytes of every file") {
        const TemporaryFolder folder;
        const std::string picture = small_picture(folder);
        for (const char* command : {"unravel", "preview"}) {
            const auto once = written(command, picture, with_seed("7"));
            CHECK(once == written(command, picture, with_seed("7")));
        }
        const auto knitted = [&](const std::string& name) {
            const std::string to = (folder / name).string();
            CHECK(code_of({"knit", picture, "-o", to, "--blank=12x10", "--stitches=5", "--seed=7"}) == 0);
            return bytes_of(to);
        };
        CHECK(knitted("first.png") == knitted("second.png"));
    }

    TEST_CASE("another seed winds the strands another way") {
        const TemporaryFolder folder;
        const std::string picture = small_picture(folder);
        const auto one = written("unravel", picture, with_seed("1"));
        const auto other = written("unravel", picture, with_seed("2"));
        CHECK(one.at("yarn.csv") != other.at("yarn.csv"));
        CHECK(one.at("summary.json") != other.at("summary.json"));
        const auto unseeded = written("unravel", picture, kSmall);
        CHECK(unseeded == one);
    }

    TEST_CASE("unravel and preview write the files they promise and no others") {
        const TemporaryFolder folder;
        const std::string picture = small_picture(folder);
        CHECK(names(written("unravel", picture, kSmall)) == "runs.csv strands.png summary.json yarn.csv ");
        // Too little yarn to speak of pools: no chart, no ways.
        CHECK(names(written("preview", picture, {"--blank=6x5", "--stitches=5"})) ==
              "blank.png fabric.png index.html overview.jpg runs.csv sheet.html strands.png summary.json yarn.csv ");
        CHECK(names(written("preview", picture, {"--blank=12x60", "--knitters=3"})) ==
              "blank.png fabric.png index.html lays.csv lays.png lays_counts.csv overview.jpg pooling.csv pooling.png "
              "runs.csv sheet.html sock.png strands.png summary.json yarn.csv ");
        CHECK(names(written("pooling", picture, {"--blank=12x60", "--knitters=3"})) ==
              "pooling.csv pooling.png summary.json ");
        CHECK(names(written("lay", picture, {"--blank=12x60", "--knitters=3"})) ==
              "lays.csv lays.png lays_counts.csv summary.json ");
    }

    TEST_CASE("preview writes the same yarn as unravel") {
        const TemporaryFolder folder;
        const std::string picture = small_picture(folder);
        const auto unravelled = written("unravel", picture, kSmall), previewed = written("preview", picture, kSmall);
        for (const char* name : {"yarn.csv", "runs.csv", "strands.png"})
            CHECK(unravelled.at(name) == previewed.at(name));
    }

    TEST_CASE("a picture whose name looks like markup is shown by its name on a page that needs nothing else") {
        const TemporaryFolder folder;
        const std::string picture = folder.file("<b>nets & \"tea\".png", picture_files::pattern_png()).string();
        const auto files = written("preview", picture, kSmall);
        CHECK(files.at("index.html").find("<b>nets") == std::string::npos);
        const std::string& html = files.at("sheet.html");
        CHECK(html.find("&lt;b&gt;nets &amp; &quot;tea&quot;.png") != std::string::npos);
        CHECK(html.find("<b>") == std::string::npos);
        for (const char* outside : {"http://", "https://", "href", "url(", "<script", "<link"})
            CHECK(html.find(outside) == std::string::npos);
        for (auto at = html.find("src="); at != std::string::npos; at = html.find("src=", at + 1))
            CHECK(html.compare(at, 16, "src=\"data:image/") == 0);
    }

    TEST_CASE("yarn.csv holds four parts a loop in the order they come off") {
        const TemporaryFolder folder;
        const auto lines = split(written("unravel", small_picture(folder), kSmall).at("yarn.csv"), '\n');
        REQUIRE(lines.size() == 1 + 2 * 12 * 10 * 4);
        CHECK(lines.front() == kYarnColumns);
        const std::vector<std::string> parts = {"sinker", "leg1", "needle", "leg2"};
        for (int strand = 0; strand < 2; ++strand) {
            double end_mm = 0;
            for (int i = 0; i < 12 * 10 * 4; ++i) {
                const std::string& line = lines[static_cast<std::size_t>(1 + strand * 480 + i)];
                CAPTURE(line);
                const auto cells = split(line, ',');
                REQUIRE(cells.size() == 10);
                CHECK(cells[0] == std::to_string(strand + 1));
                CHECK(std::abs(std::atof(cells[1].c_str()) - end_mm) <= kWrittenMm);
                CHECK(cells[5] == parts[static_cast<std::size_t>(i % 4)]);
                CHECK(cells[9].size() == 7);
                CHECK(cells[9].front() == '#');
                end_mm = std::atof(cells[1].c_str()) + std::atof(cells[2].c_str());
            }
            CHECK(std::abs(end_mm - 12 * 10 * 21.0) <= kWrittenMm);  // stitches x rows x the loop of 21 mm
        }
    }

    TEST_CASE("runs.csv covers each strand from its start to its end") {
        const TemporaryFolder folder;
        const auto lines = split(written("unravel", small_picture(folder), kSmall).at("runs.csv"), '\n');
        REQUIRE(lines.size() > 2);
        CHECK(lines.front() == kRunColumns);
        std::map<std::string, double> end_m;
        for (std::size_t i = 1; i < lines.size(); ++i) {
            CAPTURE(lines[i]);
            const auto cells = split(lines[i], ',');
            REQUIRE(cells.size() == 5);
            CHECK(std::abs(std::atof(cells[1].c_str()) - end_m[cells[0]]) <= kWrittenM);
            end_m[cells[0]] = std::atof(cells[1].c_str()) + std::atof(cells[2].c_str()) / 100;
            CHECK_FALSE(cells[3].empty());
        }
        REQUIRE(end_m.size() == 2);
        for (const auto& [strand, end] : end_m) CHECK(std::abs(end - 12 * 10 * 0.021) <= kWrittenM);
    }

    TEST_CASE("every sample unravels, and the yarn it gives can be knitted") {
        for (const char* name : {"lanterns.png", "nets.png", "tide-lines.png", "gulls.png", "lanterns.toml"}) {
            CAPTURE(std::string(name));
            const TemporaryFolder folder;
            const std::string out = (folder / "out").string();
            REQUIRE(code_of({"unravel", kSamples + "/" + name, "-o", out}) == 0);
            const std::string fabric = (folder / "fabric.png").string();
            CHECK(code_of({"knit", out + "/yarn.csv", "--rounds=10", "-o", fabric}) == 0);
            CHECK(bytes_of(fabric).rfind("\x89PNG", 0) == 0);
        }
    }

    TEST_CASE("the yarn written by unravel knits to the fabric that its picture knits to") {
        const TemporaryFolder folder;
        const std::string picture = small_picture(folder), out = (folder / "out").string();
        REQUIRE(code_of({"unravel", picture, "-o", out, "--blank=12x10", "--stitches=5"}) == 0);
        const std::string direct = (folder / "direct.png").string(), by_file = (folder / "by_file.png").string();
        REQUIRE(code_of({"knit", picture, "-o", direct, "--blank=12x10", "--stitches=5"}) == 0);
        REQUIRE(code_of({"knit", out + "/yarn.csv", "-o", by_file, "--stitches=5"}) == 0);
        const cv::Mat a = cv::imread(direct), b = cv::imread(by_file);
        REQUIRE(a.size() == b.size());
        // The decimals of the file may move a code by its last step, no more.
        CHECK(cv::norm(a, b, cv::NORM_INF) <= 1);
    }

    TEST_CASE("the ready-made yarn file knits in the round and back and forth") {
        const TemporaryFolder folder;
        const std::string round = (folder / "round.png").string(), flat = (folder / "flat.png").string();
        CHECK(code_of({"knit", kSamples + "/rope.csv", "--rounds=12", "-o", round}) == 0);
        CHECK(code_of({"knit", kSamples + "/rope.csv", "--rounds=12", "--shape=flat", "-o", flat}) == 0);
        CHECK(bytes_of(round) != bytes_of(flat));
    }

    TEST_CASE("the commands of the README that are no examples run as they stand") {
        const std::vector<std::string> lines = readme_lines();
        const std::set<std::string> run_elsewhere = lines_run_as_examples();
        REQUIRE(lines.size() >= 3);
        const TemporaryFolder folder;  // one for all: a later command may read what an earlier one wrote
        for (const std::string& line : lines) {
            if (run_elsewhere.contains(line)) continue;
            std::vector<std::string> command = shell_words(line.substr(std::string("loopread ").size()));
            for (std::string& word : command) {
                if (word.rfind("samples/", 0) == 0) word = std::string(LOOPREAD_SOURCE) + "/" + word;
                if (word.rfind("out/", 0) == 0) word = (folder / word).string();
            }
            const auto output = std::find(command.begin(), command.end(), "-o");
            REQUIRE(output != command.end());
            REQUIRE(output + 1 != command.end());
            std::string& to = *(output + 1);
            if (fs::path(to).is_relative()) to = (folder / to).string();
            CAPTURE(to);
            CHECK(code_of(command) == 0);
            CHECK(fs::exists(to));
        }
    }
}
