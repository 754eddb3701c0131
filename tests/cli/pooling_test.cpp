#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/colour/difference.h"
#include "loopread/colour/spaces.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

constexpr const char* kColumns =
    "stitches,yarn_per_round_mm,strand,stripe,pool,dash,speckle,lean,colour_range,fade,wiggle,pooled_contrast,"
    "pool_risk";
constexpr double kWrittenShares = 2e-5;  // four shares of five decimals each
constexpr double kWrittenMm = 6e-3;      // two decimals
constexpr double kWrittenJson = 6e-5;    // four decimals in summary.json, five in pooling.csv

using Row = std::map<std::string, std::string>;

std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells;
    std::istringstream in(line);
    for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
    return cells;
}

std::vector<Row> rows_of(const std::string& csv) {
    std::istringstream in(csv);
    std::string line;
    std::getline(in, line);
    const std::vector<std::string> names = cells_of(line);
    std::vector<Row> rows;
    while (std::getline(in, line)) {
        const std::vector<std::string> cells = cells_of(line);
        REQUIRE(cells.size() == names.size());
        Row row;
        for (std::size_t i = 0; i < names.size(); ++i) row[names[i]] = cells[i];
        rows.push_back(row);
    }
    return rows;
}

double number(const Row& row, const std::string& column) {
    return std::atof(row.at(column).c_str());
}
int stitches(const Row& row) {
    return std::atoi(row.at("stitches").c_str());
}

std::set<int> counts_of(const std::vector<Row>& rows) {
    std::set<int> counts;
    for (const Row& row : rows) counts.insert(stitches(row));
    return counts;
}

const Row& row_at(const std::vector<Row>& rows, int count, const std::string& strand = "1") {
    const auto found = std::find_if(
        rows.begin(), rows.end(), [&](const Row& row) { return stitches(row) == count && row.at("strand") == strand; });
    REQUIRE(found != rows.end());
    return *found;
}

/// 24 x 80 pixels in two colours, the second where `second` says so.
std::string two_coloured(const std::function<bool(int x, int y)>& second) {
    std::vector<std::string> rows(80);
    for (int y = 0; y < 80; ++y)
        for (int x = 0; x < 24; ++x)
            rows[static_cast<std::size_t>(y)] += second(x, y) ? "\x1e\x5a\xc8" : "\xdc\x3c\x28";
    return picture_files::png({24, 80, 8, 2}, rows);
}
std::string upright_bars() {
    return two_coloured([](int x, int) { return x / 6 % 2 == 1; });
}

/// One strand of a yarn file, typed by hand: two colours by turns until `yarn_mm` is reached.
std::string strand_of(int strand, double yarn_mm, double run_mm) {
    std::string csv;
    int i = 0;
    for (double at = 0; at < yarn_mm - 1e-6; ++i) {
        const double length = std::min(run_mm, yarn_mm - at);
        std::ostringstream row;
        row << strand << ',' << at << ',' << length << ',' << (i % 2 == 0 ? "#2c527f" : "#d9b66c") << '\n';
        csv += row.str();
        at += length;
    }
    return csv;
}
const std::string kYarnHead = "strand,start_mm,length_mm,hex\n";

struct Results {
    std::string csv, png, json;
    std::vector<Row> rows;
    Json summary;
};

/// A folder with a picture and what pooling makes of it or of a yarn file.
class Table {
public:
    Table() { folder_.file("bars.png", upright_bars()); }

    const TemporaryFolder& folder() const { return folder_; }
    std::string bars() const { return (folder_ / "bars.png").string(); }
    std::string file(const std::string& name, const std::string& bytes) const {
        return folder_.file(name, bytes).string();
    }

    Outcome ran(const std::string& input, const std::vector<std::string>& more) const {
        std::vector<std::string> arguments = {"pooling", input, "-o", (folder_ / "out").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return program(arguments);
    }
    Results results(const std::string& input, const std::vector<std::string>& more) const {
        fs::remove_all(folder_ / "out");
        const Outcome outcome = ran(input, more);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        CHECK(outcome.err.empty());
        Results found{bytes_of(folder_ / "out/pooling.csv"),
                      bytes_of(folder_ / "out/pooling.png"),
                      bytes_of(folder_ / "out/summary.json"),
                      {},
                      {}};
        found.rows = rows_of(found.csv);
        found.summary = Json::parse(found.json);
        return found;
    }
    /// A picture on a blank of 20 x 80 stitches: 33.6 m a strand.
    Results of_bars(std::vector<std::string> more) const {
        more.insert(more.begin(), "--blank=20x80");
        return results(bars(), more);
    }
    void check_refused(int code, const std::string& input, const std::vector<std::string>& more,
                       const std::string& told) const {
        std::vector<std::string> arguments = {"pooling", input, "-o", (folder_ / "out").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        program_test::check_refused(folder_, arguments, {code, told});
        fs::remove_all(folder_ / "out");
    }

private:
    TemporaryFolder folder_;
};

/// Lengths at which neighbouring stitch counts are clear, worked out from the rows of pooling.csv.
struct Stretch {
    double from_mm = 0, to_mm = 0;
    std::vector<int> fours;
};
std::vector<Stretch> clear_by_rows(const std::vector<Row>& rows, double yarn_mm) {
    constexpr double kClear = 0.10;  // at most 10 of 100 knitters
    std::map<int, double> risk, round_mm;
    for (const Row& row : rows) {
        double& worst = risk[stitches(row)];
        worst = std::max(worst, number(row, "pool_risk"));
        round_mm[stitches(row)] = number(row, "yarn_per_round_mm");
    }
    std::vector<Stretch> clear;
    int before = -1;
    for (const auto& [count, worst] : risk) {
        const bool can_be_told = count >= 16 && yarn_mm / round_mm[count] >= 3;
        if (!can_be_told || worst > kClear) continue;
        if (clear.empty() || count != before + 1) clear.push_back({round_mm[count], 0, {}});
        clear.back().to_mm = round_mm[count];
        if (count % 4 == 0) clear.back().fours.push_back(count);
        before = count;
    }
    return clear;
}

void check_clear(const Results& found, double yarn_mm) {
    const std::vector<Stretch> expected = clear_by_rows(found.rows, yarn_mm);
    const Json& clear = found.summary["clear"];
    REQUIRE(clear.size() == expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i) {
        CHECK(std::abs(clear[i]["from_mm"].get<double>() - expected[i].from_mm) <= kWrittenMm);
        CHECK(std::abs(clear[i]["to_mm"].get<double>() - expected[i].to_mm) <= kWrittenMm);
        CHECK(clear[i]["stitches"].get<std::vector<int>>() == expected[i].fours);
    }
}

/// Numbers only: a figure that is none shows as nan, inf or, in JSON, null.
void check_numbers(const Results& found) {
    for (const std::string& text : {found.csv, found.json})
        for (const char* none : {"nan", "inf", "NaN", "Inf"}) CHECK_FALSE(has(text, none));
    for (const auto& [key, value] : found.summary["asked"].items()) CHECK_FALSE(value.is_null());
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("pooling.csv has its columns and one row a stitch count and strand") {
        const Table table;
        const Results found = table.of_bars({"--counts=50-80", "--knitters=5"});
        CHECK(found.csv.substr(0, found.csv.find('\n')) == kColumns);
        std::vector<std::pair<int, std::string>> keys;
        for (const Row& row : found.rows) keys.emplace_back(stitches(row), row.at("strand"));
        std::vector<std::pair<int, std::string>> expected;
        for (int count = 50; count <= 80; ++count)
            for (const char* strand : {"1", "2"}) expected.emplace_back(count, strand);
        CHECK(keys == expected);
    }

    TEST_CASE("the four shares of a row add to one and a risk is a part of the knitters") {
        const Table table;
        const Results found = table.of_bars({"--knitters=4"});
        REQUIRE_FALSE(found.rows.empty());
        for (const Row& row : found.rows) {
            CAPTURE(stitches(row));
            const double sum =
                number(row, "stripe") + number(row, "pool") + number(row, "dash") + number(row, "speckle");
            CHECK(std::abs(sum - 1) <= kWrittenShares);
            const double of_four = 4 * number(row, "pool_risk");
            CHECK(of_four == std::round(of_four));
            CHECK(of_four >= 0);
            CHECK(of_four <= 4);
        }
        check_numbers(found);
    }

    TEST_CASE("rounds that no shares can be given for have none") {
        const Table table;
        const Results found = table.of_bars({"--counts=1-20", "--knitters=3"});
        for (const Row& row : found.rows)
            for (const char* column : {"stripe", "pool", "dash", "speckle", "pool_risk"})
                if (stitches(row) < 16) CHECK(number(row, column) == 0);  // too few stitches in a round to compare
        CHECK(number(row_at(found.rows, 16), "pool") + number(row_at(found.rows, 16), "speckle") > 0);
    }

    TEST_CASE("the counts swept are those of 75 to 100 cm, those of --counts and the asked-for one, no others") {
        const Table table;
        const double yarn_mm = 12.5;  // 75 cm are 60 stitches, 100 cm are 80
        for (const auto& [counts, first, last] :
             {std::tuple{"20-24", 20, 24}, {"100-103", 100, 103}, {"70", 70, 70}, {"55-62", 55, 62}}) {
            const auto& this_counts = counts;  // clang 14 lets no binding into a lambda
            CAPTURE(std::string(this_counts));
            const Results found = table.of_bars(
                {"--yarn-per-stitch=12.5mm", "--stitches=44", "--knitters=1", std::string("--counts=") + counts});
            std::set<int> expected = {44};
            for (int count = 60; count <= 80; ++count) expected.insert(count);
            for (int count = first; count <= last; ++count) expected.insert(count);
            CHECK(counts_of(found.rows) == expected);
            for (const Row& row : found.rows)
                CHECK(std::abs(number(row, "yarn_per_round_mm") - stitches(row) * yarn_mm) <= kWrittenMm);
        }
    }

    TEST_CASE("the summary tells of the asked-for count what its rows tell") {
        const Table table;
        const Results found = table.of_bars({"--stitches=59", "--knitters=20"});
        const Json& asked = found.summary["asked"];
        CHECK(asked["stitches"] == 59);
        const Row& row = row_at(found.rows, 59);
        for (const char* name : {"stripe", "pool", "dash", "speckle", "fade", "wiggle"}) {
            CAPTURE(std::string(name));
            CHECK(std::abs(asked[name].get<double>() - number(row, name)) <= kWrittenJson);
        }
        CHECK(asked["lean"] == std::atoi(row.at("lean").c_str()));
        const double worse = std::max(number(row, "pool_risk"), number(row_at(found.rows, 59, "2"), "pool_risk"));
        CHECK(std::abs(asked["pool_risk"].get<double>() - worse) <= kWrittenShares);
        CHECK(has(found.summary["sentence"].get<std::string>(),
                  std::to_string(std::lround(100 * worse)) + " of 100 knitters"));
        CHECK(has(found.summary["sentence"].get<std::string>(), "59 stitches"));
    }

    TEST_CASE("the clear stretches are the counts at which at most 10 of 100 knitters see pools") {
        const Table table;
        const Results found = table.of_bars({});
        check_clear(found, 20 * 80 * 21.0);  // stitches x rows x the loop of 21 mm
        CHECK(found.summary["clear"].size() >= 1);
        CHECK(clear_by_rows(found.rows, 20 * 80 * 21.0).front().to_mm < 1000);  // not all is clear
        REQUIRE_FALSE(found.summary["nearest_clear_stitches"].is_null());
        const int nearest = found.summary["nearest_clear_stitches"];
        for (const char* strand : {"1", "2"}) CHECK(number(row_at(found.rows, nearest, strand), "pool_risk") <= 0.1);
    }

    TEST_CASE("a count of which the yarn gives under three rounds is in no clear stretch") {
        const Table table;
        // 4.2 m: three rounds of up to 106 stitches of 13.1 mm
        const Results found =
            table.results(table.file("plain.csv", kYarnHead + "1,0,4200,#2c527f\n"), {"--knitters=3"});
        check_clear(found, 4200);
        REQUIRE(found.summary["clear"].size() == 1);
        CHECK(found.summary["clear"][0]["to_mm"].get<double>() <= 4200.0 / 3);
    }

    TEST_CASE("a clear stretch does not reach over counts that were not looked at") {
        const Table table;
        const Results found = table.results(table.file("plain.csv", kYarnHead + "1,0,30000,#2c527f\n"),
                                            {"--counts=20-30", "--knitters=3"});
        REQUIRE_FALSE(counts_of(found.rows).contains(40));
        check_clear(found, 30'000);
    }

    TEST_CASE("the same seed gives the same bytes, another seed other knitters of the same yarn") {
        const Table table;
        const std::string yarn = table.file("two.csv", kYarnHead + strand_of(1, 30'000, 400));
        const std::vector<std::string> base = {"--counts=40-80", "--knitters=20"};
        const auto with_seed = [&](const std::string& seed) {
            std::vector<std::string> options = base;
            options.push_back("--seed=" + seed);
            return table.results(yarn, options);
        };
        const Results once = with_seed("7"), again = with_seed("7"), other = with_seed("8");
        CHECK(once.csv == again.csv);
        CHECK(once.png == again.png);
        CHECK(once.json == again.json);
        REQUIRE(once.rows.size() == other.rows.size());
        int risks_moved = 0;
        for (std::size_t i = 0; i < once.rows.size(); ++i)
            for (const auto& [column, cell] : once.rows[i]) {
                if (column == "pool_risk")
                    risks_moved += cell == other.rows[i].at(column) ? 0 : 1;
                else
                    CHECK(cell == other.rows[i].at(column));
            }
        CHECK(risks_moved > 0);
        CHECK(table.results(yarn, base).csv == with_seed("1").csv);
    }

    TEST_CASE("one knitter pools or does not") {
        const Table table;
        const Results found = table.of_bars({"--knitters=1"});
        std::set<std::string> risks;
        for (const Row& row : found.rows) risks.insert(row.at("pool_risk"));
        CHECK(risks == std::set<std::string>{"0.00000", "1.00000"});
        CHECK(found.summary["knitters"] == 1);
    }

    TEST_CASE("a repeat as long as a round stacks upright, a stitch more or less leans by one") {
        // Shift = stitches of a round modulo stitches of a repeat: arithmetic, common practice, no source.
        const Table table;
        const std::string yarn = table.file("repeat.csv", kYarnHead + strand_of(1, 40 * 840.0, 420));
        const std::vector<std::string> options = {"--yarn-per-round=84cm", "--counts=60-68", "--length-sd=0",
                                                  "--drift-sd=0", "--knitters=2"};
        const Results found = table.results(yarn, options);
        CHECK(number(row_at(found.rows, 64), "pool") > 0.9);
        CHECK(number(row_at(found.rows, 64), "pool_risk") == 1);
        for (int lean = -4; lean <= 4; ++lean) {
            CAPTURE(lean);
            CHECK(row_at(found.rows, 64 - lean).at("lean") == std::to_string(lean));
        }
        // Back and forth the second half of a row lies above the first.
        std::vector<std::string> flat = options;
        flat.push_back("--shape=flat");
        const Results rows = table.results(yarn, flat);
        CHECK(number(row_at(rows.rows, 64), "pool") < 0.1);
        CHECK(number(row_at(rows.rows, 64), "pool_risk") == 0);
    }

    TEST_CASE("alternating tells of four ends for a pair, of its risk, and of how the pair matches") {
        const Table table;
        const Results found = table.of_bars({"--alternate=2", "--knitters=10"});
        const Json& turns = found.summary["alternated"];
        CHECK(turns["every"] == 2);
        CHECK(turns["ends_for_a_pair"] == 4);
        CHECK(turns["pool_risk"].get<double>() >= 0);
        CHECK(turns["pool_risk"].get<double>() <= 1);
        const Json& pair = turns["pair_mean_de00"];
        for (const char* name : {"one_end_each", "both_begun_with_the_near_end", "one_begun_with_the_far_end"}) {
            CAPTURE(std::string(name));
            REQUIRE(pair.contains(name));
            CHECK(pair[name].get<double>() >= 0);
        }
        const Results without = table.of_bars({"--knitters=10"});
        CHECK(without.summary["alternated"].is_null());
        CHECK(without.csv == found.csv);
        CHECK(without.png != found.png);
    }

    TEST_CASE("two like balls alternated make like socks, and unlike ones where one is begun with the wrong end") {
        const Table table;
        const auto ball = [](const char* strand) {
            return std::string(strand) + ",0,15000,#2c527f\n" + strand + ",15000,15000,#d9b66c\n";
        };
        const Results found = table.results(table.file("halves.csv", kYarnHead + ball("1") + ball("2")),
                                            {"--alternate=2", "--knitters=2"});
        const Json& pair = found.summary["alternated"]["pair_mean_de00"];
        CHECK(pair["one_end_each"] == 0);
        CHECK(pair["both_begun_with_the_near_end"] == 0);
        // Every two rounds of blue then lie beside two of gold.
        const double blue_and_gold = delta_e_2000(lab_from_linear(linear_from_srgb8({0x2c, 0x52, 0x7f})),
                                                  lab_from_linear(linear_from_srgb8({0xd9, 0xb6, 0x6c})));
        constexpr double kWrittenDifference = 6e-3;  // two decimals
        CHECK(std::abs(pair["one_begun_with_the_far_end"].get<double>() - blue_and_gold) <= kWrittenDifference);
    }

    TEST_CASE("one strand has two ends, and no pair to match") {
        const Table table;
        const Results found = table.of_bars({"--strands=1", "--alternate=2", "--knitters=3"});
        for (const Row& row : found.rows) CHECK(row.at("strand") == "1");
        CHECK(found.summary["alternated"]["ends_for_a_pair"] == 2);
        CHECK_FALSE(found.summary["alternated"].contains("pair_mean_de00"));
        table.check_refused(kUsage, table.bars(), {"--blank=20x80", "--strands=1", "--strand=2"}, "--strand");
    }

    TEST_CASE("ball B alone has the rows that it has beside ball A") {
        const Table table;
        const Results both = table.of_bars({"--knitters=10"});
        const Results alone = table.of_bars({"--knitters=10", "--strand=2"});
        std::vector<Row> of_b;
        std::copy_if(both.rows.begin(), both.rows.end(), std::back_inserter(of_b),
                     [](const Row& row) { return row.at("strand") == "2"; });
        CHECK(alone.rows == of_b);
    }

    TEST_CASE("yarn of one colour has no shares, no risk and no figure that is none") {
        const Table table;
        const Results found =
            table.results(table.file("plain.csv", kYarnHead + "1,0,30000,#2c527f\n2,0,30000,#2c527f\n"),
                          {"--alternate=2", "--knitters=5"});
        REQUIRE_FALSE(found.rows.empty());
        for (const Row& row : found.rows)
            for (const char* column : {"stripe", "pool", "dash", "speckle", "colour_range", "fade", "wiggle",
                                       "pooled_contrast", "pool_risk"}) {
                CAPTURE(std::string(column));
                CHECK(number(row, column) == 0);
            }
        check_numbers(found);
        CHECK(found.summary["alternated"]["pair_mean_de00"]["one_end_each"] == 0);
    }

    TEST_CASE("a chart of any shape that has plain rounds is drawn") {
        const Table table;
        for (const std::string shape : {"tube", "flat", "sock", "hat", "scarf", "cowl"}) {
            CAPTURE(shape);
            const Results found = table.of_bars({"--shape=" + shape, "--knitters=2"});
            CHECK(found.png.rfind("\x89PNG", 0) == 0);
            check_numbers(found);
        }
        table.check_refused(kUsage, table.bars(), {"--blank=20x80", "--shape=shawl"}, "--shape");
    }

    TEST_CASE("too few stitches in a round is the reason given, not too little yarn") {
        const Table table;
        const Results found = table.of_bars({"--stitches=1", "--knitters=3"});
        const std::string sentence = found.summary["sentence"];
        CAPTURE(sentence);
        CHECK(has(sentence, "16 stitches"));
        CHECK_FALSE(has(sentence, "too little yarn"));
    }

    TEST_CASE("a round that takes more than the strand is refused, as by knit") {
        const Table table;
        table.check_refused(kUsage, table.bars(), {"--blank=20x80", "--stitches=2000", "--gauge=10x10"}, "--stitches");
    }

    TEST_CASE("yarn under three rounds at any count is unusable") {
        const Table table;
        const std::string yarn = table.file("short.csv", kYarnHead + strand_of(1, 600, 100));
        table.check_refused(kInput, yarn, {}, "--counts");
        table.check_refused(kInput, table.bars(), {"--blank=6x5"}, "--counts");
        table.check_refused(kInput, table.file("long.csv", kYarnHead + strand_of(1, 30'000, 400)),
                            {"--counts=2-15", "--yarn-per-stitch=1.1m"}, "--counts");
    }

    TEST_CASE("balls of unequal length can take turns") {
        const Table table;
        for (const auto& [a_mm, b_mm] : {std::pair{5000.0, 30'000.0}, {30'000.0, 5000.0}}) {
            const auto& this_a_mm = a_mm;  // clang 14 lets no binding into a lambda
            CAPTURE(this_a_mm);
            const std::string yarn =
                table.file("uneven.csv", kYarnHead + strand_of(1, a_mm, 400) + strand_of(2, b_mm, 400));
            const Outcome outcome = table.ran(yarn, {"--alternate=2", "--knitters=3"});
            CAPTURE(outcome.err);
            CHECK(outcome.code == kDone);
        }
    }

    TEST_CASE("a second ball too short to tell is unusable input, not a fault of the program") {
        const Table table;
        const std::string yarn = table.file("uneven.csv", kYarnHead + strand_of(1, 30'000, 400) + "2,0,20,#2c527f\n");
        for (const std::vector<std::string>& more : {std::vector<std::string>{}, {"--strand=2"}, {"--alternate=2"}})
            table.check_refused(kInput, yarn, more, "yarn");
        CHECK(table.ran(yarn, {"--strand=1", "--knitters=3"}).code == kDone);
    }

    TEST_CASE("a first ball too short does not stand in the way of the second") {
        const Table table;
        const std::string yarn = table.file("uneven.csv", kYarnHead + "1,0,20,#2c527f\n" + strand_of(2, 30'000, 400));
        const Outcome outcome = table.ran(yarn, {"--strand=2", "--knitters=3"});
        CAPTURE(outcome.err);
        CHECK(outcome.code == kDone);
    }

    TEST_CASE("every slip in the counts, the knitters or the knitting is wrong usage that names its option") {
        const Table table;
        const std::vector<std::pair<std::string, std::string>> slips = {
            {"--counts", "120-40"},  {"--counts", "x"},          {"--counts", "0-10"},      {"--counts", "40-"},
            {"--counts", "-40"},     {"--counts", "40-1000000"}, {"--counts", "40-50-60"},  {"--knitters", "0"},
            {"--knitters", "-1"},    {"--knitters", "1000000"},  {"--knitters", "many"},    {"--length-sd", "2"},
            {"--length-sd", "nan"},  {"--drift-sd", "-1"},       {"--drift-length", "0mm"}, {"--drift-length", "2"},
            {"--pooling-from", "0"}, {"--contrast-from", "inf"}, {"--stitches", "0"},       {"--alternate", "0"},
            {"--alternate", "101"},  {"--gauge", "0x0"},         {"--gauge", "0x42"},       {"--gauge", "nonsense"},
            {"--gauge", "32"},       {"--shape", "mitten"},      {"--heel", "flap"},        {"--strand", "3"},
            {"--start", "middle"},   {"--seed", "-1"},           {"--yarn-per-round", "84"}};
        for (const auto& [option, value] : slips)
            table.check_refused(kUsage, table.bars(), {"--blank=20x80", option + "=" + value}, option);
        table.check_refused(kUsage, table.bars(), {"--shape=sock", "--rounds=10"}, "--rounds");
        table.check_refused(kUsage, table.bars(), {"--shape=sock", "--stitches=66"}, "--stitches");
    }

    TEST_CASE("no yarn file is overwritten by a chart's summary, and a missing one is named") {
        const Table table;
        table.check_refused(kInput, (table.folder() / "none.csv").string(), {}, "none.csv");
        const std::string own = table.file("pooling.csv", kYarnHead + strand_of(1, 30'000, 400));
        const Outcome outcome = program({"pooling", own, "-o", table.folder().path().string(), "--knitters=2"});
        CHECK(outcome.code == kOutput);
        CHECK(has(outcome.err, "pooling.csv"));
        CHECK(bytes_of(own).rfind(kYarnHead, 0) == 0);
        CHECK(table.folder().entries() == 2);
    }
}
