#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/blank_input.h"
#include "cli/program.h"
#include "loopread/overdye/ground.h"
#include "loopread/overdye/strengths.h"
#include "loopread/photo/read.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

constexpr double kEightBits = 1.0 / 255;  // of a stencil's grey
constexpr double kEven = 0.01;            // L*
const std::string kBodies = std::string(LOOPREAD_SAMPLES) + "/lanterns-stencil-1.png";
const std::string kLines = std::string(LOOPREAD_SAMPLES) + "/lanterns-stencil-2.png";

std::vector<std::string> fields(const std::string& line) {
    std::vector<std::string> parts(1);
    for (const char c : line)
        if (c == ',')
            parts.emplace_back();
        else
            parts.back() += c;
    return parts;
}

struct Table {
    std::vector<std::string> remarks, columns;
    std::vector<std::vector<std::string>> rows;
    const std::string& text(std::size_t row, const std::string& column) const {
        const auto found = std::find(columns.begin(), columns.end(), column);
        REQUIRE(found != columns.end());
        return rows[row][static_cast<std::size_t>(found - columns.begin())];
    }
    double number(std::size_t row, const std::string& column) const { return std::stod(text(row, column)); }
};
Table table_of(const fs::path& file) {
    Table table;
    std::istringstream in(bytes_of(file));
    for (std::string line; std::getline(in, line);) {
        if (line.starts_with("#"))
            table.remarks.push_back(line);
        else if (table.columns.empty())
            table.columns = fields(line);
        else
            table.rows.push_back(fields(line));
    }
    return table;
}

/// A design as every other command reads it, before it creeps.
Paint read_back(const fs::path& design, const fs::path& elsewhere) {
    Outputs outputs = Outputs::into_folder(elsewhere);
    cli::BlankOptions options;
    const cli::BlankSource source(design, options, outputs);
    return source.paint(source.asked_lay());
}

double mean_amount(const Plane& plane) {
    double sum = 0;
    for (const double value : plane) sum += value;
    return sum / static_cast<double>(plane.size());
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a written design is read back with the same ground and the same layers") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        REQUIRE(program({"overdye", "--stencil", kBodies + "=red-1@1/2", "--stencil", kLines + "=blue-1", "--ground",
                         "teal-3,yellow-3", "--penetration", "0.6", "-o", out})
                    .code == kDone);
        const Paint paint = read_back(fs::path(out) / "design.toml", folder.path() / "nowhere");
        REQUIRE(paint.layers.size() == 2);
        const LinearRgb undyed = linear_from_srgb8({0xf3, 0xed, 0xe0});
        const KOverS red = dye_of(linear_from_srgb8({0xb8, 0x27, 0x2d}), undyed);
        CHECK(paint.layers[0].dye.g == doctest::Approx(red.g).epsilon(1e-12));
        CHECK(paint.layers[0].penetration == 0.6);
        const Paint as_given = [&] {
            Outputs outputs = Outputs::into_folder(folder.path() / "nowhere");
            const cli::BlankSource source(std::string(LOOPREAD_SAMPLES) + "/lanterns.toml", {}, outputs);
            return source.paint(source.asked_lay());
        }();
        for (std::size_t layer : {std::size_t{0}, std::size_t{1}}) {
            const double strength = layer == 0 ? 0.5 : 1;
            double most = 0;
            auto given = as_given.layers[layer].amount.begin();
            for (const double amount : paint.layers[layer].amount)
                most = std::max(most, std::abs(amount - strength * *given++));
            CHECK(most <= kEightBits);
        }
        const std::vector<LinearRgb> hues{linear_from_srgb8({0x6c, 0xbd, 0xc0}), linear_from_srgb8({0xf3, 0xe4, 0x6c})};
        const Image fade = faded_ground(hues, GroundAs::along, paint.raster);
        for (const int row : {0, 300, 800, 1300}) CHECK(std::abs(fade(row, 9).b - paint.ground(row, 9).b) < 1e-3);
    }

    TEST_CASE("stencilled first, what the stencils lose is in the bath of the written design") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        REQUIRE(
            program({"overdye", "--stencil", kBodies + "=red-1", "--ground", "teal-3", "--strike", "0.6", "-o", out})
                .code == kDone);
        const Paint base = read_back(fs::path(out) / "design.toml", folder.path() / "nowhere");
        const Paint other = read_back(fs::path(out) / "design-stencil-first.toml", folder.path() / "nowhere");
        CHECK(mean_amount(other.layers[0].amount) ==
              doctest::Approx(0.6 * mean_amount(base.layers[0].amount)).epsilon(1e-6));
        const KOverS gained = k_over_s(other.ground(0, 0)) - k_over_s(base.ground(0, 0));
        const KOverS lost = base.layers[0].dye * (0.4 * mean_amount(base.layers[0].amount));
        CHECK(gained.g == doctest::Approx(lost.g).epsilon(0.02));  // the bath's colour is told in 8 bits
    }

    TEST_CASE("even steps are even on the ground, and the table says what to mix and what to mind") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        REQUIRE(program({"overdye", "--stencil", kBodies + "=black", "--even-steps", "4", "--ground", "blue-3",
                         "--order", "base-first", "-o", out})
                    .code == kDone);
        const Table table = table_of(fs::path(out) / "strengths.csv");
        REQUIRE(table.rows.size() == 4);
        const double step = table.number(1, "L") - table.number(0, "L");
        for (std::size_t i = 1; i < 4; ++i) {
            CHECK(std::abs(table.number(i, "L") - table.number(i - 1, "L") - step) < kEven);
            CHECK(table.number(i, "parts_paste") /
                      (table.number(i, "parts_paste") + table.number(i, "parts_plain_paste")) ==
                  doctest::Approx(table.number(i, "strength")).epsilon(0.005));
        }
        CHECK(std::abs(table.number(3, "ground_L") - table.number(3, "L") - step) < kEven);
        const std::string remarks = bytes_of(fs::path(out) / "strengths.csv");
        for (const std::string words : {"sensitiser", "gloves", "PLAIN paste, not water", "safety data sheet",
                                        "Local codes and licensed practice"})
            CHECK_MESSAGE(has(remarks, words), words);
        CHECK(table.columns[0] == "order");
        CHECK_FALSE(fs::exists(fs::path(out) / "orders.png"));
    }

    TEST_CASE("with no order told both are there, and with all dye fixed it is said that they are alike") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string();
        const Outcome outcome =
            program({"overdye", "--stencil", kBodies + "=red-1", "--strengths", "1,1/2,1/4", "-o", out, "--json"});
        REQUIRE(outcome.code == kDone);
        const Json summary = Json::parse(outcome.out);
        CHECK(summary["orders"].size() == 2);
        CHECK(has(summary["sentence"].get<std::string>(), "alike"));
        CHECK(has(summary["shared_out"][0].get<std::string>(), "32 separate motifs"));
        CHECK(has(summary["assumed"].dump(), "strike 1, not measured"));
        CHECK(bytes_of(fs::path(out) / "design.png") == bytes_of(fs::path(out) / "design-stencil-first.png"));
        for (const char* name : {"orders.png", "strengths.csv", "design-stencil-3.png", "summary.json"})
            CHECK(fs::exists(fs::path(out) / name));
    }

    TEST_CASE("the same seed breaks the bath the same way, another one otherwise") {
        const TemporaryFolder folder;
        const auto bath = [&](const std::string& name, const std::string& seed) {
            const std::string out = (folder.path() / name).string();
            REQUIRE(program({"overdye", "--stencil", kBodies + "=red-1", "--ground", "teal-3,blue-3", "--ground-as",
                             "broken", "--order", "base-first", "--seed", seed, "-o", out})
                        .code == kDone);
            return bytes_of(fs::path(out) / "design-ground.png");
        };
        CHECK(bath("a", "7") == bath("b", "7"));
        CHECK_FALSE(bath("c", "8") == bath("b", "7"));
    }

    TEST_CASE("stencils of other shapes are stretched to the blank, and it is said") {
        const TemporaryFolder folder;
        const std::string square =
            folder
                .file("square.png",
                      picture_files::png({40, 40, 8, 0},
                                         std::vector<std::string>(40, std::string(20, '\0') + std::string(20, '\xff'))))
                .string();
        const std::string out = (folder.path() / "out").string();
        const Outcome outcome = program({"overdye", "--stencil", square + "=red-1", "--stencil", kLines + "=blue-1",
                                         "--size", "24x86cm", "-o", out, "--json"});
        REQUIRE(outcome.code == kDone);
        const Json summary = Json::parse(outcome.out);
        CHECK(has(summary["warnings"].dump(), "square.png is 1 times as long as wide"));
        CHECK(has(summary["assumed"].dump(), "each is stretched to the whole blank"));
        const Plane mask = read_stencil(fs::path(out) / "design-stencil-1.png", 1);
        CHECK(mask(0, 0) == 1);
        CHECK(mask(mask.rows() - 1, mask.columns() - 1) == 0);
    }

    TEST_CASE("a dye stencilled over itself is told of") {
        const TemporaryFolder folder;
        const Outcome outcome = program({"overdye", "--stencil", kBodies + "=red-1", "--stencil", kBodies + "=red-1",
                                         "-o", (folder.path() / "out").string()});
        CHECK(outcome.code == kDone);
        CHECK(has(outcome.out, "stencilled over itself"));
        CHECK(has(outcome.out, "adds up to 2"));
    }

    TEST_CASE("strengths no paste has and stencils that do not go with them are refused, in one line") {
        const TemporaryFolder folder;
        const std::string out = (folder.path() / "out").string(), red = kBodies + "=red-1";
        const std::string white =
            folder
                .file("white.png",
                      picture_files::png({4, 8, 8, 0}, std::vector<std::string>(8, std::string(4, '\xff'))))
                .string();
        const std::vector<std::pair<std::vector<std::string>, Refusal>> refused{
            {{"--stencil", red + "@2"}, {kUsage, "over 1"}},
            {{"--stencil", red, "--strengths", "1,3/2"}, {kUsage, "over 1"}},
            {{"--stencil", red, "--strengths", "1,0"}, {kUsage, "no strength"}},
            {{"--stencil", red, "--strengths", "1,,1/2"}, {kUsage, "not a strength"}},
            {{"--stencil", red, "--strengths", "1/0"}, {kUsage, "not a strength"}},
            {{"--stencil", kBodies}, {kUsage, "FILE=COLOUR@STRENGTH"}},
            {{"--stencil", red, "--stencil", kLines + "=blue-1", "--strengths", "1,1/2,1/4"},
             {kUsage, "2 stencils and 3"}},
            {{"--stencil", red, "--even-steps", "3", "--strengths", "1"}, {kUsage, "leave --strengths out"}},
            {{"--stencil", kBodies + "=undyed", "--even-steps", "3"}, {kUsage, "does not darken"}},
            {{"--stencil", red, "--ground-as", "broken"}, {kUsage, "two colours"}},
            {{"--stencil", red, "--ground", "auto"}, {kUsage, "no picture"}},
            {{"--stencil", red, "--ground", "gone.png"}, {kInput, "gone.png"}},
            {{"--stencil", red, "--order", "sideways"}, {kUsage, "base-first"}},
            {{"--stencil", red, "--strike", "1.5"}, {kUsage, "between 0 and 1"}},
            {{"--stencil", red, "--corners", "picture"}, {kUsage, "for a photo"}},
            {{"--stencil", white + "=red-1"}, {kInput, "white all over"}},
            {{"--stencil", "gone.png=red-1"}, {kInput, "gone.png"}},
            {{}, {kUsage, "at least one"}}};
        for (auto [arguments, refusal] : refused) {
            arguments.insert(arguments.begin(), "overdye");
            arguments.insert(arguments.end(), {"-o", out});
            check_refused(folder, arguments, refusal);
        }
    }
}
