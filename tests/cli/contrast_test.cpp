#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/program.h"
#include "loopread/photo/read.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

/// 96 x 344 pixels, a grey band over the middle third of another grey.
std::string band(unsigned char ground, unsigned char motif) {
    std::vector<std::string> rows;
    for (int y = 0; y < 344; ++y) rows.emplace_back(96, static_cast<char>(y >= 115 && y < 230 ? motif : ground));
    return picture_files::png({96, 344, 8, 0}, rows);
}

Json summary_of(const std::vector<std::string>& arguments) {
    std::vector<std::string> all{"contrast"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    all.emplace_back("--json");
    const Outcome outcome = program(all);
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    return Json::parse(outcome.out);
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("grey 767676 on white: the published ratio, the table's differences, and it holds") {
        const TemporaryFolder folder;
        const fs::path out = folder.path() / "out";
        const std::string file = folder.file("band.png", band(0xff, 0x76)).string();
        const Json summary = summary_of({file, "-o", out.string()});
        REQUIRE(summary["pairs"].size() == 1);
        const Json& pair = summary["pairs"][0];
        CHECK(pair["a"] == "#767676");
        CHECK(pair["b"] == "#ffffff");
        CHECK(pair["verdict"] == "holds");
        CHECK(std::abs(pair["delta_L"].get<double>() - 50.363) < 0.001);  // tests/data/contrast_pairs.csv
        CHECK(std::abs(pair["delta_e00"].get<double>() - 36.859) < 0.001);
        const std::string csv = bytes_of(out / "contrast.csv");
        CHECK(csv.starts_with("a_hex,b_hex,a_share,b_share,delta_L,delta_e00,verdict,"));
        CHECK(has(csv, ",4.54,yes,"));  // [WCAG 2.2]
    }

    TEST_CASE("an edge under the threshold is lost, marked and given figures that would help") {
        const TemporaryFolder folder;
        const fs::path out = folder.path() / "out";
        const std::string file = folder.file("band.png", band(0x86, 0x78)).string();
        const Json summary = summary_of({file, "-o", out.string()});
        const Json& pair = summary["pairs"][0];
        CHECK(pair["verdict"] == "lost");
        CHECK(pair["lost_share"] == 1);
        REQUIRE(pair["remedies"].size() == 3);
        CHECK(pair["remedies"][0]["delta_L"].get<double>() > pair["delta_L"].get<double>());
        CHECK(has(summary["sentence"].get<std::string>(), "two steps darker"));
        CHECK(has(summary["assumed"].dump(), "darker of two colours is taken as the lighter one with dye on top"));
        CHECK(has(summary["threshold"].get<std::string>(), "no standard"));
        const Json asked = summary_of({file, "--lost-under", "3", "-o", out.string()});
        CHECK(asked["pairs"][0]["verdict"] == "holds");
    }

    TEST_CASE("the grey picture has the lightness of the design and no hue") {
        const TemporaryFolder folder;
        const fs::path out = folder.path() / "out";
        summary_of({std::string(LOOPREAD_SAMPLES) + "/nets.png", "-o", out.string()});
        const Image grey = read_picture(out / "grey.png", {});
        CHECK(std::all_of(grey.begin(), grey.end(), [](LinearRgb c) { return c.r == c.g && c.g == c.b; }));
        CHECK(fs::exists(out / "lost-edges.png"));
    }

    TEST_CASE("a stencil lost outright in its bath is named, though it has no edge left") {
        const TemporaryFolder folder;
        const fs::path design = folder.path() / "dyed", out = folder.path() / "out";
        REQUIRE(program({"overdye", "--stencil", std::string(LOOPREAD_SAMPLES) + "/lanterns-stencil-1.png=teal-2@1/4",
                         "--ground", "blue-1", "--order", "base-first", "-o", design.string()})
                    .code == kDone);
        const Json summary = summary_of({(design / "design.toml").string(), "-o", out.string()});
        CHECK(summary["layers"][0]["verdict"] == "lost");
        CHECK(has(summary["sentence"].get<std::string>(), "is lost on what lies beneath it"));
    }

    TEST_CASE("knitted contrast falls with what the dye does not reach, and comes back where all is dyed") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        const std::string file = std::string(LOOPREAD_SAMPLES) + "/nets.png";
        const Json usual = summary_of({file, "-o", out}), through = summary_of({file, "--penetration", "1", "-o", out});
        const Json &some = usual["pairs"][0], &all = through["pairs"][0];
        CHECK(some["delta_L"] == all["delta_L"]);
        CHECK(some["knitted"]["delta_L"].get<double>() < 0.7 * some["delta_L"].get<double>());
        CHECK(std::abs(all["knitted"]["delta_L"].get<double>() - all["delta_L"].get<double>()) < 1.5);
    }

    TEST_CASE("bad figures and files are refused in one line") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        const std::string nets = std::string(LOOPREAD_SAMPLES) + "/nets.png";
        check_refused(folder, {"contrast", nets, "--lost-under", "0", "-o", out}, {kUsage, "--lost-under"});
        check_refused(folder, {"contrast", nets, "--palette", "1", "-o", out}, {kUsage, "--palette"});
        check_refused(folder, {"contrast", "gone.png", "-o", out}, {kInput, "gone.png"});
        check_refused(folder, {"contrast", std::string(LOOPREAD_SAMPLES) + "/rope.csv", "-o", out},
                      {kUsage, "yarn file"});
    }
}
