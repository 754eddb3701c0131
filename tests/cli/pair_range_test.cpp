#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;

namespace {

constexpr double kWritten = 1e-9;  // the summary has three decimals, and equal figures are written equal

nlohmann::json pair_of(const TemporaryFolder& folder, const std::string& picture, int seed) {
    const Outcome outcome = program({"unravel", picture, "--blank=40x1", "--stitches=5", "--json", "--seed",
                                     std::to_string(seed), "-o", (folder / std::to_string(seed)).string()});
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    return nlohmann::json::parse(outcome.out)["pair"];
}

}  // namespace

TEST_SUITE("cli") {
    // Of a blank of one row every eighth row is the whole blank, so that each winding of the range can be asked for.
    TEST_CASE("the difference of a pair is a range over five windings, each of which its own seed gives") {
        const TemporaryFolder folder;
        const std::string picture = folder.file("small.png", picture_files::pattern_png()).string();
        const nlohmann::json pair = pair_of(folder, picture, 7);
        double least = pair["mean_de00"].get<double>(), most = least;
        for (const int seed : {1007, 2007, 3007, 4007}) {
            const double mean = pair_of(folder, picture, seed)["mean_de00"].get<double>();
            least = std::min(least, mean);
            most = std::max(most, mean);
        }
        CHECK(pair["mean_de00_range"][0].get<double>() == doctest::Approx(least).epsilon(kWritten));
        CHECK(pair["mean_de00_range"][1].get<double>() == doctest::Approx(most).epsilon(kWritten));
        CHECK(least < most);
    }
}
