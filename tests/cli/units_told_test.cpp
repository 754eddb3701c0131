#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;

namespace {

constexpr double kDecimals = 6e-4;  // widths and row yarn have three decimals, loops and strands four

bool told_as(const nlohmann::json& told, double figure) {
    CAPTURE(told.dump());
    CAPTURE(figure);
    return std::abs(told.get<double>() - figure) < kDecimals;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the summary tells a blank's measures in the units of their names") {
        const TemporaryFolder folder;
        const std::string picture = folder.file("small.png", picture_files::pattern_png()).string();
        const Outcome outcome = program({"unravel", picture, "--blank=46x214", "--size=24x86cm", "--strand-length=211m",
                                         "--gauge=32x44", "--stitches=64", "--json", "-o", (folder / "out").string()});
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        const nlohmann::json told = nlohmann::json::parse(outcome.out);
        const nlohmann::json& blank = told["blank"];
        CHECK(told_as(blank["width_cm"], 24));
        CHECK(told_as(blank["length_cm"], 86));
        CHECK(told_as(blank["strand_length_m"], 211));
        CHECK(told_as(blank["loop_mm"], 211000.0 / (46 * 214)));
        CHECK(told_as(blank["row_yarn_cm"], 21100.0 / 214));
        for (const nlohmann::json& strand : told["strands"]) CHECK(told_as(strand["length_m"], 211));
        // 10 cm hold 32 stitches and 44 rows: l = sqrt(23.1 w c) [Munden 1959]
        const double round_mm = 64 * std::sqrt(23.1 * (100.0 / 32) * (100.0 / 44));
        CHECK(told_as(told["yarn_per_round_mm"], round_mm));
        CHECK(told_as(told["rounds_per_row"], 211000.0 / 214 / round_mm));
    }
}
