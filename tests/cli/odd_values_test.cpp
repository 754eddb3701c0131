#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/base/random.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;

namespace {

const std::string kSamples = LOOPREAD_SAMPLES;

/// A folder with one small picture, and what the program says about it.
class Bench {
public:
    std::string picture() const { return picture_.string(); }
    const TemporaryFolder& folder() const { return folder_; }

    Outcome unravelled(const std::vector<std::string>& more) const {
        return ran({"unravel", picture(), "-o", (folder_ / "out").string(), "--blank=6x5", "--stitches=3"}, more);
    }
    Outcome knitted(const std::vector<std::string>& more) const {
        return ran({"knit", picture(), "-o", (folder_ / "out.png").string(), "--blank=6x5"}, more);
    }
    /// One line, the right code, nothing printed and nothing written beside what lay there.
    void check_refused(const Outcome& outcome, int code, const std::vector<std::string>& told) const {
        CAPTURE(outcome.err);
        CHECK(outcome.code == code);
        CHECK(outcome.out.empty());
        CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
        for (const std::string& words : told) CHECK(has(outcome.err, words));
        CHECK(folder_.entries() == files_);
    }
    fs::path file(const std::string& name, const std::string& bytes) {
        ++files_;
        return folder_.file(name, bytes);
    }

private:
    static Outcome ran(std::vector<std::string> arguments, const std::vector<std::string>& more) {
        arguments.insert(arguments.end(), more.begin(), more.end());
        return program(arguments);
    }

    TemporaryFolder folder_;
    fs::path picture_ = folder_.file("picture.png", picture_files::pattern_png());
    std::size_t files_ = 1;
};

std::uint64_t below(Random& random, std::uint64_t count) {
    return random.bits() % count;
}

/// The bytes with a few of them changed, cut out or put in.
std::string spoiled(std::string bytes, Random& random) {
    const auto changes = 1 + below(random, 6);
    for (std::uint64_t i = 0; i < changes && !bytes.empty(); ++i) {
        const auto at = static_cast<std::size_t>(below(random, bytes.size()));
        switch (below(random, 4)) {
            case 0:
                bytes[at] = static_cast<char>(below(random, 256));
                break;
            case 1:
                bytes.erase(at, static_cast<std::size_t>(1 + below(random, 20)));
                break;
            case 2:
                bytes.insert(at, 1, ",\n\"#[]=-.0"[below(random, 10)]);
                break;
            default:
                bytes.resize(at);
        }
    }
    return bytes;
}

/// Whatever became of a spoiled file: done, or refused in one line with nothing left behind.
void check_orderly(const Outcome& outcome, const fs::path& output) {
    CAPTURE(outcome.err);
    if (outcome.code == kDone) {
        CHECK(outcome.err.empty());
        CHECK(fs::exists(output));
    } else {
        CHECK((outcome.code == kUsage || outcome.code == kInput));
        CHECK(outcome.err.size() > 1);
        CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
        CHECK(outcome.out.empty());
        CHECK_FALSE(fs::exists(output));
    }
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a turn that is no number is refused with the turns listed") {
        const Bench bench;
        bench.check_refused(bench.unravelled({"--rotate", "left"}), kUsage, {"--rotate", "left", "0, 90, 180, 270"});
    }

    TEST_CASE("a ground with a name longer than any file can have is an unknown colour") {
        const Bench bench;
        bench.check_refused(bench.unravelled({"--ground", std::string(5000, 'a')}), kUsage, {"--ground"});
    }

    TEST_CASE("a creep of more than the blank is wrong usage") {
        const Bench bench;
        bench.check_refused(bench.unravelled({"--creep", "2m"}), kUsage, {"--creep", "2m"});
        bench.check_refused(bench.unravelled({"--creep", "1e7mm"}), kUsage, {"--creep"});
        bench.check_refused(bench.unravelled({"--strand-length", "1mm"}), kUsage, {"--creep", "--strand-length"});
        CHECK(bench.unravelled({"--creep", "1cm"}).code == kDone);
    }

    TEST_CASE("rounds too many to count do not turn into a number below nothing") {
        const Bench bench;
        for (const char* yarn : {"1e-9mm", "1e-300mm"}) {
            const Outcome outcome = bench.knitted({"--stitches=3", "--yarn-per-stitch", yarn});
            bench.check_refused(outcome, kUsage, {"a knitted loop needs"});
            CHECK_FALSE(has(outcome.err, "--rounds"));
        }
    }

    TEST_CASE("too little yarn for a stitch is laid to the option that says so") {
        const Bench bench;
        bench.check_refused(bench.unravelled({"--yarn-per-stitch", "5mm"}), kUsage, {"--yarn-per-stitch: "});
        bench.check_refused(bench.unravelled({"--yarn-per-round", "15mm"}), kUsage, {"--yarn-per-round: "});
        bench.check_refused(bench.unravelled({"--gauge", "20x90"}), kUsage, {"--gauge: "});
    }

    TEST_CASE("a stitch that cannot be drawn as it is brings a warning, and the usual one none") {
        const Bench bench;
        const auto warned = [&](const std::string& yarn) {
            const Outcome outcome = bench.knitted({"--stitches=3", "--yarn-per-stitch", yarn, "--json"});
            CHECK(outcome.code == kDone);
            return has(outcome.out, "cannot be drawn; the fabric");
        };
        CHECK(warned("30mm"));
        CHECK_FALSE(warned("13.1mm"));
    }

    TEST_CASE("a colour name of one's own may stand before the picture") {
        const Bench bench;
        CHECK(program({"unravel", "--colour", "fog=#d0d4d8", "--colour", "sea=#203040", bench.picture(), "-o",
                       (bench.folder() / "out").string(), "--undyed", "fog", "--ground", "sea", "--blank=6x5",
                       "--stitches=3"})
                  .code == kDone);
    }

    TEST_CASE("a wrong word about the blank is refused beside a yarn file too") {
        const TemporaryFolder folder;
        const std::string picture = (folder / "out.png").string();
        for (const char* option : {"--construction=x", "--ravel-edge=x", "--tail=x", "--rotate=x", "--fit=x",
                                   "--painted=x", "--size=24x86", "--wrap=nan", "--colour=x"}) {
            const Outcome outcome = program({"knit", kSamples + "/rope.csv", "-o", picture, "--rounds=2", option});
            CAPTURE(outcome.err);
            CHECK(outcome.code == kUsage);
            CHECK(has(outcome.err, std::string(option).substr(0, std::string(option).find('='))));
            CHECK(folder.entries() == 0);
        }
    }

    TEST_CASE("an unknown command is named") {
        const Bench bench;
        bench.check_refused(program({"unpick", bench.picture()}), kUsage, {"'unpick' is not a command"});
    }

    TEST_CASE("a seed that is no whole number from 0 is wrong usage") {
        const Bench bench;
        for (const char* seed : {"-1", "1.5", "x", "99999999999999999999"})
            bench.check_refused(bench.unravelled({"--seed", seed}), kUsage, {"--seed", seed});
        CHECK(bench.unravelled({"--seed", "0"}).code == kDone);
    }

    TEST_CASE("results go neither to no place nor under no name") {
        const Bench bench;
        bench.check_refused(program({"unravel", bench.picture(), "-o", "", "--blank=6x5", "--stitches=3"}), kUsage,
                            {"--output"});
        bench.check_refused(
            program({"knit", bench.picture(), "-o", (bench.folder() / "new/").string(), "--blank=6x5", "--stitches=3"}),
            kUsage, {"-o", "new/"});
    }

    TEST_CASE("a config file is an input and is not overwritten") {
        Bench bench;
        const std::string text = "blank = \"6x5\"\nstitches = 3\n";
        const std::string config = bench.file("summary.json", text).string();
        bench.check_refused(program({"knit", bench.picture(), "--config", config, "-o", config}), kOutput,
                            {"summary.json"});
        bench.check_refused(
            program({"unravel", bench.picture(), "--config", config, "-o", bench.folder().path().string()}), kOutput,
            {"summary.json"});
        CHECK(bytes_of(config) == text);
    }

    TEST_CASE("spoiled yarn files are knitted or refused in one line") {
        Random random(7);
        const std::string yarn = bytes_of(kSamples + "/rope.csv").substr(0, 1200);
        for (int i = 0; i < 150; ++i) {
            const TemporaryFolder folder;
            const std::string file = folder.file("yarn.csv", spoiled(yarn, random)).string();
            const fs::path output = folder / "out.png";
            check_orderly(program({"knit", file, "-o", output.string(), "--stitches=2", "--rounds=2"}), output);
        }
    }

    TEST_CASE("spoiled designs, configs and pictures are read or refused in one line") {
        Random random(11);
        const std::string design = bytes_of(kSamples + "/lanterns.toml");
        const std::string config =
            "blank = \"6x5\"\nstitches = 3\nwrap = 0.5\nmirror = true\ncolour = [\"a=#aa7744\"]\n";
        for (int i = 0; i < 60; ++i) {
            const TemporaryFolder folder;
            for (const char* stencil : {"lanterns-stencil-1.png", "lanterns-stencil-2.png"})
                folder.file(stencil, picture_files::pattern_png());
            const std::string layers = folder.file("design.toml", spoiled(design, random)).string();
            const std::string setting = folder.file("config.toml", spoiled(config, random)).string();
            const std::string plain = folder.file("plain.png", picture_files::pattern_png()).string();
            const std::string bad = folder.file("bad.png", spoiled(picture_files::pattern_png(), random)).string();
            const std::vector<std::vector<std::string>> inputs = {
                {layers, "--blank=6x5", "--stitches=3"},
                {plain, "--config", setting, "--size=5x4cm"},
                {bad, "--blank=6x5", "--stitches=3"},
            };
            for (std::size_t k = 0; k < inputs.size(); ++k) {
                const fs::path output = folder / ("out" + std::to_string(k));
                std::vector<std::string> arguments = {"unravel", "-o", output.string()};
                arguments.insert(arguments.end(), inputs[k].begin(), inputs[k].end());
                check_orderly(program(arguments), output);
            }
        }
    }
}
