#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/photo/write.h"

using namespace loopread;
using namespace loopread::program_test;
using Json = nlohmann::json;

namespace {

constexpr double kPrinted = 1e-5;  // --json is rounded to five decimals

std::vector<std::string> joined(std::vector<std::string> first, const std::vector<std::string>& more) {
    first.insert(first.end(), more.begin(), more.end());
    return first;
}

Json dyed(const std::vector<std::string>& arguments) {
    const Outcome outcome = program(joined({"dye", "--json"}, arguments));
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    return Json::parse(outcome.out);
}

bool near(const Json& value, double expected) {
    return value.is_number() && std::abs(value.get<double>() - expected) < kPrinted;
}

bool any_has(const Json& list, const std::string& words) {
    return std::any_of(list.begin(), list.end(), [&](const Json& one) { return has(one.get<std::string>(), words); });
}

const Json& named(const Json& list, const std::string& name) {
    const auto found = std::find_if(list.begin(), list.end(), [&](const Json& one) { return one["name"] == name; });
    REQUIRE(found != list.end());
    return *found;
}

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

const std::string kLanterns = std::string(LOOPREAD_SAMPLES) + "/lanterns.toml";

/// A stencil over the upper part of a picture.
std::string stencil_bytes(double part) {
    Image picture(60, 20, LinearRgb{1, 1, 1});
    for (int r = 0; r < part * picture.rows(); ++r)
        for (int c = 0; c < picture.columns(); ++c) picture(r, c) = {0, 0, 0};
    return png_bytes(encoded(picture));
}

/// A design of two layers over half and all of a blank, the second of half strength; both dye right through.
std::string through_design(const TemporaryFolder& folder) {
    folder.file("half.png", stencil_bytes(0.5));
    folder.file("all.png", stencil_bytes(1));
    return folder
        .file("quay.toml",
              "[[layer]]\nname = \"sky\"\nstencil = \"half.png\"\ncolour = \"#204080\"\npenetration = 1.0\n"
              "[[layer]]\nname = \"wash\"\nstencil = \"all.png\"\ncolour = \"#806020\"\nstrength = 0.5\n"
              "penetration = 1.0\n")
        .string();
}

const std::vector<std::string> kUsual{"--fibre", "100g", "--dye", "blue-1=0.4%", "--dye", "black=2%", "--stock", "1%"};

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("dye tells stock, dry dye, bath, acid and cautions") {
        const Json told = dyed(kUsual);
        CHECK(near(told["fibre_g"], 100));
        REQUIRE(told["dyes"].size() == 2);
        const Json& blue = told["dyes"][0];
        CHECK(blue["name"] == "blue-1");
        CHECK(near(blue["dos_pct"], 0.4));
        CHECK(near(blue["stock_pct"], 1));
        CHECK(near(blue["stock_ml"], 40));
        CHECK(near(blue["dye_g"], 0.4));
        CHECK(near(told["total_dos_pct"], 2.4));
        CHECK(near(told["bath_l"], 3));
        CHECK(told["acid"]["kind"] == "vinegar");
        CHECK(near(told["acid"]["ml"], 20));
        CHECK(told["cautions"].size() >= 10);
        CHECK(any_has(told["cautions"], "sensitiser"));
        CHECK(any_has(told["assumed"], "acid dyes (--class"));
    }

    TEST_CASE("published examples of dye amounts come out of the program") {
        // a craft reference on depth of shade (454 g), a supplier's note (125 and 300 g), a textile handout (5 g)
        struct Row {
            std::string fibre, depth, stock;
            double ml, grams;
        };
        const std::vector<Row> table{{"454g", "1%", "1%", 454, 4.54},     {"454g", "2%", "1%", 908, 9.08},
                                     {"454g", "0.1%", "1%", 45.4, 0.454}, {"454g", "0.1%", "0.1%", 454, 0.454},
                                     {"125g", "2%", "1%", 250, 2.5},      {"300g", "3%", "1%", 900, 9},
                                     {"5g", "3%", "1%", 15, 0.15}};
        for (const Row& row : table) {
            const Json told = dyed({"--fibre", row.fibre, "--dye", "x=" + row.depth, "--stock", row.stock});
            CHECK(near(told["dyes"][0]["stock_ml"], row.ml));
            CHECK(near(told["dyes"][0]["dye_g"], row.grams));
        }
    }

    TEST_CASE("a dye may have a stock of its own, and fibre may be weighed in pounds") {
        const Json told = dyed({"--fibre=1lb", "--dye=a=1%", "--dye=b=1%", "--stock=1%", "--stock=b=4%"});
        CHECK(near(told["fibre_g"], 453.59237));
        CHECK(near(told["dyes"][0]["stock_ml"], 453.59237));
        CHECK(near(told["dyes"][1]["stock_ml"], 453.59237 / 4));
    }

    TEST_CASE("unknown amounts stay unknown") {
        const Json told = dyed({"--fibre=100g", "--dye=a=1%", "--dye=b=unknown", "--used=c=unknown"});
        CHECK(told["dyes"][1]["dos_pct"].is_null());
        CHECK(told["dyes"][1]["stock_ml"].is_null());
        CHECK(told["total_dos_pct"].is_null());
        CHECK(near(told["known_dos_pct"], 1));
        CHECK(told["used"][0]["dos_pct"].is_null());
    }

    TEST_CASE("what went in is told as a depth, also by the spoon") {
        const Json told = dyed({"--fibre=100g", "--used=blue-1=5ml", "--used=red=1tbsp", "--stock=2%"});
        CHECK(near(told["used"][0]["dos_pct"], 0.1));
        CHECK(near(told["used"][1]["dye_g"], 14.78676478125 * 0.02));
        CHECK(near(told["total_dos_pct"], 0.1 + 14.78676478125 * 0.02));
    }

    TEST_CASE("paste strength times what left the jar is the dye on the fibre") {
        const Json told = dyed({"--fibre=100g", "--paste=2g/100ml", "--jar=250g,180g"});
        CHECK(near(told["pastes"][0]["used_g"], 70));
        CHECK(near(told["pastes"][0]["pick_up"], 0.7));
        CHECK(near(told["pastes"][0]["dye_g"], 1.4));
        CHECK(near(told["total_dos_pct"], 1.4));
        const Json unweighed = dyed({"--fibre=100g", "--paste=2g/100ml"});
        CHECK(unweighed["pastes"][0]["dye_g"].is_null());
        CHECK(unweighed["total_dos_pct"].is_null());
    }

    TEST_CASE("paler steps of paste are told in parts of plain paste") {
        const Json told = dyed({"--fibre=100g", "--paste=2%", "--strengths=1, 1/2,0.25"});
        REQUIRE(told["paste_steps"].size() == 3);
        CHECK(told["paste_steps"][2]["words"] == "1 part paste to 3 parts plain paste");
    }

    TEST_CASE("layers of a design are dyed by the yarn they take") {
        const TemporaryFolder folder;
        const std::string design = through_design(folder);
        const Json told = dyed({"--fibre=100g", "--design", design, "--blank=20x60", "--dye=sky=2%", "--dye=wash=1%",
                                "--dye=sea=0.5%", "--stock=4%"});
        const Json& sky = named(told["areas"], "sky");
        const double kRow = 1.0 / 60;  // arcs reach into the next row
        CHECK(std::abs(sky["dyed_share"].get<double>() - 0.5) < kRow);
        CHECK(near(named(told["areas"], "wash")["dyed_share"], 1));
        const double grams = sky["fibre_g"];
        CHECK(near(named(told["dyes"], "sky")["dye_g"], grams * 0.02));
        CHECK(near(named(told["dyes"], "wash")["dos_pct"], 0.5));
        CHECK(near(named(told["dyes"], "wash")["dye_g"], 0.5));
        CHECK(named(told["dyes"], "sea")["on"] == "bath");
        CHECK(any_has(told["assumed"], "'sea' goes in the bath"));
        CHECK(near(told["total_dos_pct"], grams * 0.02 + 0.5 + 0.5));
    }

    TEST_CASE("an area may take several dyes, a paste and a jar of its own") {
        const TemporaryFolder folder;
        const std::string design = through_design(folder);
        const Json told =
            dyed({"--fibre=100g", "--design", design, "--blank=20x60", "--dye=sky:navy=1%", "--dye=sky:black=0.2%",
                  "--stock=black=2%", "--paste=sky=3g/100ml", "--jar=sky=90g,75g"});
        const double grams = named(told["areas"], "sky")["fibre_g"];
        CHECK(near(named(told["dyes"], "sky:black")["stock_ml"], grams * 0.2 / 2));
        CHECK(named(told["dyes"], "sky:navy")["on"] == "sky");
        CHECK(near(told["pastes"][0]["dye_g"], 0.45));
        CHECK(near(told["pastes"][0]["from_powder_g"], grams * 0.012));
    }

    TEST_CASE("a flat picture gives the areas of its colours") {
        const TemporaryFolder folder;
        Image picture(60, 20, LinearRgb{0.896, 0.847, 0.745});
        for (int r = 0; r < 15; ++r)
            for (int c = 0; c < 20; ++c) picture(r, c) = {0.6, 0.01, 0.01};
        const std::string file = folder.file("flag.png", png_bytes(encoded(picture))).string();
        const Json told =
            dyed({"--fibre=100g", "--design", file, "--blank=20x60", "--penetration=1", "--creep=0mm", "--dye=x=1%"});
        REQUIRE(told["areas"].size() == 1);
        CHECK(std::abs(told["areas"][0]["fibre_g"].get<double>() - 25) < 100.0 / 60);
    }

    TEST_CASE("the kind of dye is asked for, and only acid dyes get acid") {
        for (const char* other : {"reactive", "metal-complex"}) {
            const Json told = dyed(joined(kUsual, {"--class", other}));
            CHECK(told["acid"]["kind"].is_null());
            CHECK(near(told["total_dos_pct"], 2.4));
            CHECK(any_has(told["warnings"], "maker's sheet"));
        }
        CHECK_FALSE(any_has(dyed(joined(kUsual, {"--class=acid"}))["assumed"], "--class"));
    }

    TEST_CASE("US measures stand beside the metric ones and are named") {
        const Outcome outcome = program(joined({"dye", "--units=us"}, kUsual));
        CHECK(has(outcome.out, "100 g (3.53 oz)"));
        CHECK(has(outcome.out, "US tbsp"));
        CHECK(has(outcome.out, "\u00b0F"));
        CHECK_FALSE(has(program(joined({"dye"}, kUsual)).out, "\u00b0F"));
    }

    TEST_CASE("without -o dye writes nothing and tells the figures") {
        const Outcome outcome = program(joined({"dye"}, kUsual));
        CHECK(outcome.code == kDone);
        CHECK(has(outcome.out, "2.4 % of dye on 100 g of dry yarn"));
        CHECK(has(outcome.out, "40 ml of 1 % stock"));
        CHECK(has(outcome.out, "Take care:"));
        CHECK(has(outcome.out, "common practice, no source"));
    }

    TEST_CASE("a card comes out the same, byte for byte, and shows the design") {
        const TemporaryFolder folder;
        const auto card = [&](const std::string& name) {
            const Outcome outcome =
                program({"dye", "--fibre=100g", "--design", kLanterns, "--dye=lantern bodies=2%", "--batch=Tide <7>",
                         "--note=wall & water", "-o", (folder / name).string()});
            CAPTURE(outcome.err);
            REQUIRE(outcome.code == kDone);
            return bytes_of(folder / name / "dye-card.html");
        };
        const std::string html = card("one");
        CHECK(html == card("two"));
        CHECK(has(html, "Tide &lt;7&gt;"));
        CHECK(has(html, "wall &amp; water"));
        CHECK(has(html, "data:image/png;base64,"));
        CHECK(has(html, "lines and caps"));
    }

    TEST_CASE("a record runs again to the same card and the same record") {
        const TemporaryFolder folder;
        const std::vector<std::string> first{"dye",
                                             "--fibre=100g",
                                             "--design",
                                             kLanterns,
                                             "--dye=lantern bodies=2%",
                                             "--dye=sea=1%",
                                             "--stock=sea=2%",
                                             "--used=sea=40ml",
                                             "--acid=citric",
                                             "--paste=lantern bodies=2%",
                                             "--units=us",
                                             "--strengths=1,1/2",
                                             "--batch=Tide 7",
                                             "--note=wall one",
                                             "--note=it's \"late\"",
                                             "--ratio=25",
                                             "--jar=lantern bodies=90g,85g",
                                             "--blank=46x200",
                                             "--creep=1mm",
                                             "--seed=4"};
        const Outcome once =
            program(joined(first, {"-o", (folder / "a").string(), "--record", (folder / "a.toml").string()}));
        CAPTURE(once.err);
        REQUIRE(once.code == kDone);
        const Outcome again = program({"dye", "--from-record", (folder / "a.toml").string(), "-o",
                                       (folder / "b").string(), "--record", (folder / "b.toml").string()});
        CAPTURE(again.err);
        REQUIRE(again.code == kDone);
        CHECK(bytes_of(folder / "a" / "dye-card.html") == bytes_of(folder / "b" / "dye-card.html"));
        CHECK(bytes_of(folder / "a.toml") == bytes_of(folder / "b.toml"));
        const std::string record = bytes_of(folder / "a.toml");
        CHECK(has(record, "sensitiser"));
        CHECK_FALSE(has(record, "\nwrap ="));      // what nobody set and has no usual text is not made up
        CHECK(has(record, "winding = \"10cm\""));  // what is usual today is written down
    }

    TEST_CASE("a record runs for another weight: depths stay, amounts grow, facts of that batch are left out") {
        const TemporaryFolder folder;
        const std::string record = (folder / "r.toml").string();
        REQUIRE(program({"dye", "--fibre=100g", "--dye=blue=0.4%", "--used=blue=38ml", "--used=grey=5ml", "--record",
                         record})
                    .code == kDone);
        const Json same = dyed({"--from-record", record});
        CHECK(near(same["used"][0]["dos_pct"], 0.38));
        const Json more = dyed({"--from-record", record, "--fibre=250g", "--record", (folder / "s.toml").string()});
        CHECK(near(named(more["dyes"], "blue")["stock_ml"], 100));
        CHECK(near(named(more["dyes"], "grey")["dos_pct"], 0.05));
        CHECK(near(named(more["dyes"], "grey")["stock_ml"], 12.5));
        CHECK(more["used"].empty());
        CHECK(any_has(more["assumed"], "it is left out"));
        const Json third = dyed({"--from-record", (folder / "s.toml").string()});
        CHECK(third["dyes"] == more["dyes"]);
    }

    TEST_CASE("what a record says no to is still no in the record made from it") {
        const TemporaryFolder folder;
        const std::string no =
            folder.file("no.toml", "fibre = \"100g\"\ndye = \"a=1%\"\nallow-deep = false\nmirror = true\n").string();
        const std::string again = (folder / "again.toml").string();
        REQUIRE(program({"dye", "--from-record", no, "--record", again}).code == kDone);
        CHECK_FALSE(has(bytes_of(again), "allow-deep"));
        CHECK(has(bytes_of(again), "mirror = true"));
        const Outcome deep = program({"dye", "--from-record", again, "--dye=a=9%"});
        CHECK(deep.code == kUsage);
        CHECK(has(deep.err, "--allow-deep"));
    }

    TEST_CASE("a record names the design as seen from itself") {
        const TemporaryFolder folder;
        const std::string design = through_design(folder);
        const std::string record = (folder / "r.toml").string();
        REQUIRE(program({"dye", "--fibre=100g", "--design", design, "--dye=sky=1%", "--record", record}).code == kDone);
        CHECK(has(bytes_of(record), "design = \"quay.toml\""));
        CHECK(near(dyed({"--from-record", record})["fibre_g"], 100));
    }

    TEST_CASE("an empty list in a record is refused with its line, of a switch too") {
        const TemporaryFolder folder;
        for (const std::string setting : {"allow-deep", "mirror", "fibre", "dye", "colour", "wrap"}) {
            const std::string record = folder.file("r.toml", "batch = \"a\"\n" + setting + " = []\n").string();
            check_refused(folder, {"dye", "--from-record", record}, {kInput, "line 2: an empty list"});
        }
    }

    TEST_CASE("a record that is none is refused with the line") {
        const TemporaryFolder folder;
        const std::string broken = folder.file("broken.toml", "fibre = \"100g\"\nfibre = [\n").string();
        check_refused(folder, {"dye", "--from-record", broken}, {kInput, "broken.toml"});
        const std::string other = folder.file("other.toml", "fibre = \"100g\"\ncolour-of-sea = \"grey\"\n").string();
        check_refused(folder, {"dye", "--from-record", other}, {kInput, "line 2: 'colour-of-sea' is no setting"});
        const std::string odd = folder.file("odd.toml", "[fibre]\nweight = 100\n").string();
        check_refused(folder, {"dye", "--from-record", odd}, {kInput, "a setting is text"});
        check_refused(folder, {"dye", "--from-record", (folder / "none.toml").string()}, {kInput, "no such file"});
        const std::string good = folder.file("good.toml", "fibre = \"100g\"\ndye = [\"a=1%\"]\n").string();
        check_refused(folder, {"dye", "--from-record", good, "--record", good}, {kOutput, "is also an input"});
    }

    TEST_CASE("bad dyeing is refused in one line that says what to do") {
        const TemporaryFolder folder;
        const auto refused = [&](const std::vector<std::string>& more, const std::string& told) {
            check_refused(folder, joined({"dye"}, more), {kUsage, told});
        };
        refused({}, "--fibre: is missing");
        refused({"--fibre=100g"}, "no dye is named");
        refused({"--fibre=100", "--dye=a=1%"}, "no unit");
        refused({"--fibre=-5g", "--dye=a=1%"}, "more than 0");
        refused({"--fibre=2cup", "--dye=a=1%"}, "powder packs");
        refused({"--fibre=100g", "--dye=a"}, "is not NAME=AMOUNT");
        refused({"--fibre=100g", "--dye=a=-1%"}, "less than 0");
        refused({"--fibre=100g", "--dye=a=1"}, "no unit");
        refused({"--fibre=100g", "--dye=a=1tsp"}, "is not a percentage");
        refused({"--fibre=100g", "--dye=a=1%", "--dye=a=2%"}, "named twice");
        refused({"--fibre=100g", "--dye=a=1%", "--stock=0%"}, "0 % holds no dye");
        refused({"--fibre=100g", "--dye=a=1%", "--stock=a=0%"}, "0 % holds no dye");
        refused({"--fibre=100g", "--dye=a=1%", "--stock=b=1%"}, "'b' is no dye");
        refused({"--fibre=100g", "--dye=a=9%"}, "over 8 %");
        refused({"--fibre=100g", "--used=a=5l"}, "over 8 %");
        refused({"--fibre=100g", "--used=a=5g"}, "is not a volume");
        refused({"--fibre=100g", "--dye=a=1%", "--acid-strength=80%"}, "concentrated acetic acid");
        refused({"--fibre=100g", "--dye=a=1%", "--acid=acetic"}, "concentrated acetic acid");
        refused({"--fibre=100g", "--dye=a=1%", "--acid=lemon"}, "not one of vinegar, citric");
        refused({"--fibre=100g", "--dye=a=1%", "--class=natural"}, "not one of acid, metal-complex, reactive");
        refused({"--fibre=100g", "--dye=a=1%", "--units=stones"}, "not one of metric, us");
        refused({"--fibre=100g", "--dye=a=1%", "--ratio=0"}, "--ratio");
        refused({"--fibre=100g", "--dye=a=1%", "--ratio=wide"}, "--ratio");
        refused({"--fibre=100g", "--paste=2tsp/100ml"}, "powder packs");
        refused({"--fibre=100g", "--paste=2g/0ml"}, "has no liquid");
        refused({"--fibre=100g", "--paste=2g/100ml", "--jar=180g,250g"}, "heavier after");
        refused({"--fibre=100g", "--paste=2g/100ml", "--jar=180g"}, "two weights");
        refused({"--fibre=100g", "--dye=a=1%", "--jar=250g,180g"}, "needs a --paste");
        refused({"--fibre=100g", "--paste=red=2g/100ml"}, "no --design");
        refused({"--fibre=100g", "--dye=a=1%", "--strengths=1,3/2"}, "is not over 0 and up to 1");
        refused({"--fibre=100g", "--dye=a=1%", "--strengths=1,,2"}, "is not a strength");
        refused({"--fibre=100g", "--dye=a=1%", "-o", folder.path().string(), "--record",
                 (folder / "dye-card.html").string()},
                "--record: is the card itself");
        refused({"--fibre=100g", "--design", kLanterns, "--paste=2g/100ml"}, "say which area");
        refused({"--fibre=100g", "--design", kLanterns, "--dye=lantern bodies=9%"}, "over 8 %");
        check_refused(folder, {"dye", "--fibre=100g", "--design", (folder / "none.png").string(), "--dye=a=1%"},
                      {kInput, "no such file"});
    }

    TEST_CASE("more than 8 percent is dyed when that is told") {
        CHECK(near(dyed({"--fibre=100g", "--dye=a=9%", "--allow-deep"})["total_dos_pct"], 9));
    }

    TEST_CASE("nothing that dye writes promises what dyeing cannot") {
        const TemporaryFolder folder;
        std::string all;
        for (const char* dye_class : {"acid", "metal-complex", "reactive"}) {
            const std::string out = (folder / dye_class).string();
            const std::vector<std::string> arguments{
                "dye",          "--fibre=100g", "--design", kLanterns, "--dye=lantern bodies=2%",
                "--dye=sea=1%", "--class",      dye_class,  "-o",      out,
                "--record",     out + ".toml"};
            all += program(arguments).out + program(joined(arguments, {"--json"})).out;
            all += bytes_of(folder / dye_class / "dye-card.html") + bytes_of(out + ".toml");
        }
        CHECK(has(all, "sensitiser"));
        all = lower(all) + lower(program({"dye", "--help"}).out);
        for (const char* promise : {"colourfast", "colorfast", "machine wash", "safe for bab"})
            CHECK_FALSE(has(all, promise));
    }
}
