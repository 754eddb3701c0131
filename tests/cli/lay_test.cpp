#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <set>
#include <sstream>
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

constexpr double kClear = 0.10;  // at most 10 of 100 knitters, at any round of 75 to 100 cm

using Row = std::map<std::string, std::string>;

std::vector<std::string> split(const std::string& text, char at) {
    std::vector<std::string> parts;
    std::istringstream in(text);
    for (std::string part; std::getline(in, part, at);) parts.push_back(part);
    return parts;
}

std::vector<Row> rows_of(const std::string& csv) {
    const std::vector<std::string> lines = split(csv, '\n');
    REQUIRE_FALSE(lines.empty());
    const std::vector<std::string> names = split(lines.front(), ',');
    std::vector<Row> rows;
    for (std::size_t i = 1; i < lines.size(); ++i) {
        const std::vector<std::string> cells = split(lines[i], ',');
        REQUIRE(cells.size() == names.size());
        Row row;
        for (std::size_t c = 0; c < names.size(); ++c) row[names[c]] = cells[c];
        rows.push_back(row);
    }
    return rows;
}

double number(const Row& row, const std::string& column) {
    return std::atof(row.at(column).c_str());
}

std::string way_of(const Row& row) {
    return row.at("rotate") + " " + row.at("mirror") + " " + row.at("painted");
}

/// 80 x 244 pixels, two colours.
std::string two_coloured(const std::string& first, const std::string& second,
                         const std::function<bool(int x, int y)>& is_second) {
    std::vector<std::string> rows(244);
    for (int y = 0; y < 244; ++y)
        for (int x = 0; x < 80; ++x) rows[static_cast<std::size_t>(y)] += is_second(x, y) ? second : first;
    return picture_files::png({80, 244, 8, 2}, rows);
}
const std::string kCream = "\xf3\xed\xe0", kRed = "\xdc\x3c\x28", kBlue = "\x1e\x5a\xc8";
const std::string kWhite(3, '\xff'), kBlack(3, '\0');

/// Grey from dark at the ravel edge to light.
std::string dark_to_light() {
    std::vector<std::string> rows;
    for (int y = 0; y < 244; ++y) rows.emplace_back(80, static_cast<char>(120 + 118 * y / 243));
    return picture_files::png({80, 244, 8, 0}, rows);
}

bool in_a_bar(int x, int) {
    return x / 20 % 2 == 1;
}
/// A line of dabs down the middle: they stack unless set a little closer.
bool in_a_dab(int x, int y) {
    return x >= 36 && x < 48 && y % 20 < 12;
}

constexpr const char* kDesign = R"([ground]
fade = ["#102030", "#eeeeee"]
[[layer]]
name = "dabs"
stencil = "dabs.png"
colour = "#d8455a"
)";

/// A folder with small designs and what lay makes of them on a blank of 20 x 80 stitches.
class Table {
public:
    Table() {
        folder_.file("bars.png", two_coloured(kBlue, kRed, in_a_bar));
        folder_.file("dabs-painted.png", two_coloured(kCream, kRed, in_a_dab));
        folder_.file("plain.png", two_coloured(kCream, kCream, in_a_bar));
        folder_.file("dabs.png", two_coloured(kWhite, kBlack, in_a_dab));
        folder_.file("fade.png", dark_to_light());
        folder_.file("dabs.toml", kDesign);
    }

    const TemporaryFolder& folder() const { return folder_; }
    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    std::string out(const std::string& name) const { return bytes_of(folder_ / ("out/" + name)); }

    Outcome ran(const std::string& command, const std::string& input, const std::string& to,
                const std::vector<std::string>& more) const {
        std::vector<std::string> arguments = {command, path(input), "-o", path(to)};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return program(arguments);
    }
    /// The summary of a lay that went well, its files in "out".
    Json laid(const std::string& input, std::vector<std::string> more) const {
        fs::remove_all(folder_ / "out");
        more.insert(more.begin(), {"--blank=20x80", "--knitters=10"});
        const Outcome outcome = ran("lay", input, "out", more);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        CHECK(outcome.err.empty());
        return Json::parse(out("summary.json"));
    }
    std::set<std::string> files() const {
        std::set<std::string> names;
        for (const auto& entry : fs::directory_iterator(folder_ / "out"))
            names.insert(entry.path().filename().string());
        return names;
    }
    /// Mean lightness of strand 1 in the first rows of the blank.
    double first_lightness(const std::string& design, std::vector<std::string> more) const {
        more.insert(more.begin(), "--blank=20x80");
        const Outcome outcome = ran("unravel", design, "yarn", more);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        const std::vector<Row> rows = rows_of(bytes_of(folder_ / "yarn/yarn.csv"));
        constexpr std::size_t kPieces = 4 * 20 * 5;  // parts of a loop x stitches x rows
        double sum = 0;
        for (std::size_t i = 0; i < kPieces; ++i) sum += number(rows[i], "L");
        return sum / kPieces;
    }
    void check_refused(int code, const std::string& input, const std::vector<std::string>& more,
                       const std::string& told) const {
        std::vector<std::string> arguments = {"lay", path(input), "-o", path("out")};
        arguments.insert(arguments.end(), more.begin(), more.end());
        program_test::check_refused(folder_, arguments, {code, told});
        fs::remove_all(folder_ / "out");
    }

private:
    TemporaryFolder folder_;
};

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("lays.csv holds the sixteen ways once each, ranked, their ties rising") {
        const Table table;
        const Json summary = table.laid("bars.png", {});
        const std::string csv = table.out("lays.csv");
        CHECK(csv.substr(0, csv.find('\n')) == "rotate,mirror,painted,stripe,pool,dash,speckle,pool_risk,tie,rank");
        const std::vector<Row> rows = rows_of(csv);
        REQUIRE(rows.size() == 16);
        std::set<std::string> ways, expected;
        for (const char* rotate : {"0", "90", "180", "270"})
            for (const char* mirror : {"0", "1"})
                for (const char* painted : {"face", "back"})
                    expected.insert(std::string(rotate) + " " + mirror + " " + painted);
        int tie = 1;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            CAPTURE(i);
            ways.insert(way_of(rows[i]));
            CHECK(rows[i].at("rank") == std::to_string(i + 1));
            const int own = std::atoi(rows[i].at("tie").c_str());
            CHECK(own >= tie);
            CHECK(own <= tie + 1);
            tie = own;
            const double sum = number(rows[i], "stripe") + number(rows[i], "pool") + number(rows[i], "dash") +
                               number(rows[i], "speckle");
            constexpr double kWrittenShares = 2e-5;  // four shares of five decimals each
            CHECK(std::abs(sum - 1) <= kWrittenShares);
        }
        CHECK(ways == expected);
        CHECK(rows.front().at("tie") == "1");
        REQUIRE(summary["ways"].size() == 16);
        for (std::size_t i = 0; i < 16; ++i) {
            CHECK(std::to_string(summary["ways"][i]["rotate"].get<int>()) == rows[i].at("rotate"));
            CHECK(summary["ways"][i]["painted"] == rows[i].at("painted"));
            CHECK((summary["ways"][i]["mirror"] == true) == (rows[i].at("mirror") == "1"));
        }
    }

    TEST_CASE("upright bars stripe when turned a quarter, and pool as they are") {
        // A band across the rows is a stripe, a line along them recurs in every row: arithmetic of the yarn's path.
        const Table table;
        const Json summary = table.laid("bars.png", {});
        for (const Row& row : rows_of(table.out("lays.csv"))) {
            CAPTURE(way_of(row));
            const bool quarter = row.at("rotate") == "90" || row.at("rotate") == "270";
            CHECK((number(row, "stripe") > 0.5) == quarter);
            CHECK((number(row, "pool_risk") > 0.5) == !quarter);
        }
        CHECK(has(summary["sentence"].get<std::string>(), "a quarter"));
    }

    TEST_CASE("each aim puts first what it aims for") {
        const Table table;
        const std::vector<std::pair<std::string, std::string>> aims = {
            {"stripe", "stripe"}, {"dash", "dash"}, {"speckle", "speckle"}, {"no-pool", "pool_risk"}};
        for (const auto& [aim, column] : aims) {
            const auto& this_aim = aim;  // clang 14 lets no binding into a lambda
            CAPTURE(this_aim);
            table.laid("dabs-painted.png", {"--aim=" + aim});
            const std::vector<Row> rows = rows_of(table.out("lays.csv"));
            std::map<int, std::pair<double, double>> span;  // of each tie: least and most
            for (const Row& row : rows) {
                const double value = number(row, column);
                const auto [at, fresh] = span.try_emplace(std::atoi(row.at("tie").c_str()), value, value);
                if (!fresh) at->second = {std::min(at->second.first, value), std::max(at->second.second, value)};
            }
            double best_of_worse = aim == "no-pool" ? 0 : 1;
            for (const auto& [tie, least_most] : span) {
                const auto& this_tie = tie;  // clang 14 lets no binding into a lambda
                CAPTURE(this_tie);
                if (aim == "no-pool") {
                    CHECK(least_most.first >= best_of_worse);
                    best_of_worse = least_most.first;
                } else {
                    constexpr double kTied = 0.03;  // shares closer than this are one tie
                    CHECK(least_most.second <= best_of_worse);
                    CHECK(least_most.second - least_most.first <= kTied + 1e-5);
                    best_of_worse = least_most.first;
                }
            }
        }
        table.laid("dabs-painted.png", {});
        const std::string unasked = table.out("lays.csv");
        table.laid("dabs-painted.png", {"--aim=no-pool"});
        CHECK(table.out("lays.csv") == unasked);
    }

    TEST_CASE("lays_counts.csv holds every count of every lay of the asked-for side, and agrees with lays.csv") {
        const Table table;
        const Json summary = table.laid("bars.png", {"--counts=62-64", "--painted=back"});
        const std::string csv = table.out("lays_counts.csv");
        CHECK(csv.substr(0, csv.find('\n')) ==
              "rotate,mirror,painted,stitches,yarn_per_round_mm,strand,stripe,pool,dash,speckle,lean,pool_risk");
        const std::vector<Row> counts = rows_of(csv);
        const int swept = static_cast<int>(1000 / 13.1101) - static_cast<int>(750 / 13.1101);  // 58 to 76 stitches
        CHECK(counts.size() == static_cast<std::size_t>(8 * 2 * swept));
        std::map<std::string, double> pool, risk, worst;
        for (const Row& row : counts) {
            CHECK(row.at("painted") == "back");
            worst[way_of(row)] = std::max(worst[way_of(row)], number(row, "pool_risk"));
            if (row.at("stitches") != "64") continue;
            pool[way_of(row)] += number(row, "pool") / 2;
            risk[way_of(row)] = std::max(risk[way_of(row)], number(row, "pool_risk"));
        }
        CHECK(pool.size() == 8);
        for (const Row& row : rows_of(table.out("lays.csv"))) {
            if (row.at("painted") == "face") continue;
            constexpr double kWritten = 1.1e-5;  // five decimals, on both sides
            CHECK(std::abs(number(row, "pool") - pool.at(way_of(row))) <= kWritten);
            CHECK(number(row, "pool_risk") == risk.at(way_of(row)));
        }
        std::multiset<double> told, found;
        for (const Json& way : summary["worst_risk_75_to_100_cm"]) told.insert(way["pool_risk"].get<double>());
        for (const auto& [way, risk_of_way] : worst) found.insert(risk_of_way);
        CHECK(told == found);
    }

    TEST_CASE("the ways are the same bytes for the same seed, and need no turning to be as unravelled") {
        const Table table;
        table.laid("dabs.toml", {"--seed=5"});
        std::map<std::string, std::string> first;
        for (const std::string& name : table.files()) first[name] = table.out(name);
        table.laid("dabs.toml", {"--seed=5"});
        for (const auto& [name, bytes] : first) CHECK(table.out(name) == bytes);
        CHECK(first.size() == 4);

        // The row of a way is what pooling says of the blank laid that way.
        const Outcome pooling =
            table.ran("pooling", "dabs.toml", "pooled",
                      {"--blank=20x80", "--knitters=10", "--seed=5", "--rotate=180", "--mirror", "--painted=back"});
        REQUIRE(pooling.code == kDone);
        double pool = 0, risk = 0;
        for (const Row& row : rows_of(bytes_of(table.folder() / "pooled/pooling.csv")))
            if (row.at("stitches") == "64") {
                pool += number(row, "pool") / 2;
                risk = std::max(risk, number(row, "pool_risk"));
            }
        int found = 0;
        for (const Row& row : rows_of(first.at("lays.csv")))
            if (way_of(row) == "180 1 back") {
                ++found;
                CHECK(std::abs(number(row, "pool") - pool) <= 1.1e-5);
                CHECK(number(row, "pool_risk") == risk);
            }
        CHECK(found == 1);
    }

    TEST_CASE("a design of one colour is told to be one, and needs no nudge") {
        const Table table;
        const Json summary = table.laid("plain.png", {"--nudge"});
        CHECK(has(summary["sentence"].get<std::string>(), "one colour"));
        CHECK(has(summary["nudge"]["sentence"].get<std::string>(), "needs no nudge"));
        CHECK(summary["nudge"]["clear"] == true);
        CHECK(summary["nudge"]["change_cm"] == 0);
        CHECK(table.files() == std::set<std::string>{"lays.csv", "lays.png", "lays_counts.csv", "summary.json"});
        for (const char* name : {"lays.csv", "lays_counts.csv", "summary.json"})
            for (const char* none : {"nan", "inf", "null"}) CHECK_FALSE(has(table.out(name), none));
    }

    TEST_CASE("a nudge says in cm what changes, and the picture so changed stays clear of pools") {
        const Table table;
        const Json nudge = table.laid("dabs-painted.png", {"--nudge"})["nudge"];
        CHECK(nudge["clear"] == true);
        CHECK(nudge["worst_risk_before"].get<double>() > kClear);
        CHECK(nudge["worst_risk"].get<double>() <= kClear);
        CHECK(nudge["change_cm"].get<double>() > 0);
        REQUIRE_FALSE(nudge["changes"].empty());
        for (const Json& change : nudge["changes"]) {
            CHECK(has(change.get<std::string>(), " cm"));
            CHECK(has(nudge["sentence"].get<std::string>(), change.get<std::string>()));
        }
        CHECK(table.files() == std::set<std::string>{"lays.csv", "lays.png", "lays_counts.csv", "nudged-knitted.png",
                                                     "nudged.png", "summary.json"});
        CHECK_FALSE(cv::imread(table.path("out/nudged-knitted.png")).empty());
        const cv::Mat nudged = cv::imread(table.path("out/nudged.png"));
        REQUIRE_FALSE(nudged.empty());
        fs::copy(table.path("out/nudged.png"), table.path("nudged.png"));
        const Json again = table.laid("nudged.png", {"--nudge"})["nudge"];
        CAPTURE(again["sentence"].get<std::string>());
        // Read back it is a picture of 8-bit codes, so that one knitter in ten may see it otherwise.
        CHECK(again["worst_risk_before"].get<double>() <= nudge["worst_risk"].get<double>() + 0.1);
        CHECK(again["worst_risk_before"].get<double>() < nudge["worst_risk_before"].get<double>());
    }

    TEST_CASE("a nudge that does not clear says so and what would") {
        const Table table;
        const Json nudge = table.laid("bars.png", {"--nudge"})["nudge"];
        CHECK(nudge["clear"] == false);
        CHECK(nudge["worst_risk"].get<double>() > kClear);
        CHECK(has(nudge["sentence"].get<std::string>(), "No small change"));
        CHECK(nudge["greater_changes"].size() > 0);
        CHECK(nudge["tried"].get<int>() > 100);
    }

    TEST_CASE("a nudged design in layers is a design that reads again, and needs no further nudge") {
        const Table table;
        const Json nudge = table.laid("dabs.toml", {"--nudge"})["nudge"];
        CHECK(nudge["clear"] == true);
        CHECK(table.files() == std::set<std::string>{"lays.csv", "lays.png", "lays_counts.csv", "nudged-knitted.png",
                                                     "nudged-stencil-1.png", "nudged.png", "nudged.toml",
                                                     "summary.json"});
        CHECK(table.ran("unravel", "out/nudged.toml", "unravelled", {"--blank=20x80"}).code == kDone);
        const auto mean = [&](const std::string& design) {
            const Outcome outcome = table.ran("unravel", design, "unravelled", {"--blank=20x80", "--json"});
            return Json::parse(outcome.out)["strands"][0]["mean_lab"].get<std::vector<double>>();
        };
        const std::vector<double> drawn = mean("dabs.toml"), changed = mean("out/nudged.toml");
        constexpr double kMotifsKept =
            3;  // of L, a or b: the dabs move or change size by a tenth, on a tenth of the blank
        for (std::size_t i = 0; i < 3; ++i) CHECK(std::abs(drawn[i] - changed[i]) <= kMotifsKept);
        fs::copy(table.path("out"), table.path("kept"));
        const Json again = table.laid("kept/nudged.toml", {"--nudge"})["nudge"];
        CAPTURE(again["sentence"].get<std::string>());
        CHECK(has(again["sentence"].get<std::string>(), "needs no nudge"));
    }

    TEST_CASE("a nudged design with a picture for its ground has the ground beside it") {
        const Table table;
        table.folder().file("ground.toml",
                            "[ground]\npicture = \"fade.png\"\n[[layer]]\nstencil = "
                            "\"dabs.png\"\ncolour = \"#d8455a\"\n");
        table.laid("ground.toml", {"--nudge"});
        CHECK(table.files().contains("nudged-ground.png"));
        CHECK(table.ran("unravel", "out/nudged.toml", "unravelled", {"--blank=20x80"}).code == kDone);
    }

    TEST_CASE("a nudged design that was turned has its fade turned too") {
        const Table table;
        table.laid("dabs.toml", {"--nudge", "--rotate=180"});
        REQUIRE(table.files().contains("nudged.toml"));
        const double turned = table.first_lightness("dabs.toml", {"--rotate=180"});
        const double nudged = table.first_lightness("out/nudged.toml", {});
        constexpr double kMotifsMoved = 10;  // of L; the ends of the fade are 80 apart
        CHECK(std::abs(turned - nudged) <= kMotifsMoved);
    }

    TEST_CASE("a layer whose name has a line break or quotes is written so that it reads again") {
        const Table table;
        std::string design = kDesign;
        design.replace(design.find("\"dabs\""), 6, R"("dabs\nof \"red\" \\ and\ttea")");
        table.folder().file("named.toml", design);
        table.laid("named.toml", {"--nudge"});
        REQUIRE(table.files().contains("nudged.toml"));
        const Outcome outcome = table.ran("unravel", "out/nudged.toml", "unravelled", {"--blank=20x80"});
        CAPTURE(outcome.err);
        CHECK(outcome.code == kDone);
    }

    TEST_CASE("a nudged design is not written over the one it is made from") {
        const Table table;
        fs::create_directory(table.path("out"));
        std::string design = kDesign;
        design.replace(design.find("dabs.png"), 8, "../dabs.png");
        table.folder().file("out/nudged.toml", design);
        const Outcome outcome =
            table.ran("lay", "out/nudged.toml", "out", {"--nudge", "--blank=20x80", "--knitters=10"});
        CAPTURE(outcome.err);
        CHECK(outcome.code == kOutput);
        CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
        CHECK(has(outcome.err, "nudged.toml"));
        CHECK(table.out("nudged.toml") == design);
        CHECK(table.files() == std::set<std::string>{"nudged.toml"});
    }

    TEST_CASE("a stitch count that nothing can be said of is not told to be one colour") {
        const Table table;
        for (const char* stitches : {"--stitches=1", "--stitches=2000"}) {
            CAPTURE(std::string(stitches));
            const Json summary = table.laid("bars.png", {stitches});
            const std::string sentence = summary["sentence"];
            CAPTURE(sentence);
            CHECK_FALSE(has(sentence, "one colour"));
        }
    }

    TEST_CASE("lay refuses a yarn file, a piece without plain rounds and alternating in words") {
        const Table table;
        table.folder().file("own.csv", "strand,start_mm,length_mm,hex\n1,0,30000,#2c527f\n");
        table.check_refused(kUsage, "own.csv", {}, "yarn file");
        table.check_refused(kUsage, "bars.png", {"--shape=shawl"}, "--shape");
        table.check_refused(kUsage, "bars.png", {"--alternate=2"}, "--alternate");
        table.check_refused(kInput, "none.png", {}, "none.png");
        table.check_refused(kInput, "none.toml", {"--nudge"}, "none.toml");
    }

    TEST_CASE("lay refuses a blank of under three rounds, and a round that takes more than the strand") {
        const Table table;
        table.check_refused(kInput, "bars.png", {"--blank=6x5"}, "--counts");
        table.check_refused(kInput, "bars.png", {"--blank=6x5", "--nudge"}, "--counts");
        table.check_refused(kUsage, "bars.png", {"--blank=20x80", "--stitches=2000", "--gauge=10x10"}, "--stitches");
    }

    TEST_CASE("every slip in the aim, the counts, the knitters or the knitting of a lay names its option") {
        const Table table;
        const std::vector<std::pair<std::string, std::string>> slips = {
            {"--aim", "nonsense"},   {"--aim", ""},         {"--counts", "120-40"}, {"--counts", "x"},
            {"--counts", "0-10"},    {"--knitters", "0"},   {"--knitters", "-1"},   {"--knitters", "1000000"},
            {"--length-sd", "2"},    {"--drift-sd", "nan"}, {"--stitches", "0"},    {"--gauge", "0x0"},
            {"--gauge", "nonsense"}, {"--alternate", "0"},  {"--shape", "mitten"},  {"--heel", "flap"},
            {"--winding", "0mm"},    {"--wander", "-1"},    {"--rotate", "45"},     {"--painted", "front"}};
        for (const auto& [option, value] : slips)
            table.check_refused(kUsage, "bars.png", {"--blank=20x80", option + "=" + value}, option);
        table.check_refused(kUsage, "bars.png", {"--shape=sock", "--stitches=66"}, "--stitches");
        table.check_refused(kUsage, "bars.png", {"--shape=sock", "--rounds=9"}, "--rounds");
    }
}
