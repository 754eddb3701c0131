#include <toml++/toml.h>

#include <cmath>

#include "cli/design_files.h"
#include "cli/program.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"
#include "loopread/design/file.h"
#include "loopread/yarn/file.h"
#include "properties/any_blank.h"

using namespace loopread;
using namespace loopread::properties;

namespace {

Srgb8 any_colour(const std::string& name) {
    const int code = whole_in(0, 0xffffff, name);
    return {static_cast<std::uint8_t>(code >> 16), static_cast<std::uint8_t>(code >> 8 & 0xff),
            static_cast<std::uint8_t>(code & 0xff)};
}

/// Words as a dyer may type them, and as nobody does: quotes, control characters, letters of several bytes.
std::string any_words(const std::string& name) {
    const std::vector<std::string> letters{"a",
                                           "Z",
                                           "0",
                                           " ",
                                           "\"",
                                           "\\",
                                           "'",
                                           "#",
                                           "=",
                                           "[",
                                           "]",
                                           "\n",
                                           "\t",
                                           "\x01",
                                           "\x7f",
                                           "\xc3\xa9",
                                           "\xe2\x82\xac",
                                           "\xf0\x9f\xa7\xa6"};
    std::string words;
    for (const std::string& letter :
         *rc::gen::container<std::vector<std::string>>(rc::gen::elementOf(letters)).as(name))
        words += letter;
    return words;
}

double any_number(const std::string& name) {
    return number_in(-1, 1, name) * std::pow(10, whole_in(-6, 9, name + ": power of ten"));
}

bool refused(std::string_view text) {
    try {
        parsed_length(text, "--loop");
        return false;
    } catch (const Error& fault) {
        return fault.kind() == ErrorKind::usage;
    }
}

Design any_design() {
    Design design;
    design.undyed = any_colour("undyed");
    design.ground.colours.clear();
    for (int stops = whole_in(1, 3, "stops of the fade"); stops > 0; --stops)
        design.ground.colours.push_back(any_colour("ground"));
    if (design.ground.colours.size() > 1)
        design.ground.along = static_cast<DesignGround::Along>(whole_in(0, 1, "fade along length, width"));
    for (int layers = whole_in(0, 4, "layers"); layers > 0; --layers)
        design.layers.push_back({any_words("layer"), "stencil-" + std::to_string(layers) + ".png", any_colour("dye"),
                                 whole_in(0, 20'000, "strength") / 1e4, whole_in(0, 10'000, "penetration") / 1e4});
    return design;
}

std::string written(const Design& design) {
    std::vector<std::string> stencils;
    for (const DesignLayer& layer : design.layers) stencils.push_back(layer.stencil.filename().string());
    return cli::design_toml(design, stencils, "");
}

/// Not empty: after an empty one the next argument is taken for its value.
std::string any_argument(const std::string& name) {
    const std::string words = any_words(name);
    return words.empty() ? "x" : words;
}

/// Options of a recipe as they may be typed.
std::vector<std::string> any_recipe() {
    const auto amount = [](int least, int most, const std::string& name) {
        return number_text(whole_in(least, most, name) / 100.0, 2);
    };
    std::vector<std::string> typed{"dye", "--fibre=" + amount(500, 90'000, "fibre") + "g"};
    const std::vector<std::string> dyes{"blue", "sea green", "red 'b'", "grey#2"};
    const int count = whole_in(1, 4, "dyes");
    for (int i = 0; i < count; ++i)
        typed.push_back("--dye=" + dyes[static_cast<std::size_t>(i)] + "=" + amount(1, 200, "depth") + "%");
    if (whole_in(0, 1, "with a batch") == 1) typed.push_back("--batch=" + any_argument("batch"));
    if (whole_in(0, 1, "with a note") == 1) typed.push_back("--note=" + any_argument("note"));
    return typed;
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("a number that is written reads back to its last place, and nothing is minus nothing") {
        holds([] {
            const double value = any_number("number");
            const int places = whole_in(0, 6, "places");
            const std::string text = number_text(value, places);
            const std::optional<double> read = parsed_number(text);
            RC_ASSERT(read.has_value());
            RC_ASSERT(std::abs(*read - value) <= 0.5 * std::pow(10, -places) + 1e-15 * std::abs(value));
            RC_ASSERT(number_text(*read, places) == text);
            RC_ASSERT(text != "-0" && (text.find('.') == std::string::npos || text.back() != '0'));
        });
    }

    TEST_CASE("a length that is written with a unit reads back, and without one is refused") {
        // The units as defined in 1959: an inch is 25.4 mm, a yard 36 of them [NIST HB 44].
        const std::vector<std::pair<std::string, double>> units{
            {"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}, {"yd", 36 * 25.4}};
        holds([&] {
            const auto& [unit, mm] = units[static_cast<std::size_t>(whole_in(0, 4, "unit"))];
            const double value = whole_in(1, 1'000'000, "value") / 1000.0;
            const std::string digits = number_text(value, 3);
            const std::string spaces(static_cast<std::size_t>(whole_in(0, 2, "spaces")), ' ');
            const Millimetres read = parsed_length(spaces + digits + spaces + unit + spaces, "--loop");
            RC_ASSERT(std::abs(read.value - value * mm) <= 1e-12 * value * mm);
            RC_ASSERT(refused(digits));
            RC_ASSERT(refused("-" + digits + unit));
            const LengthPair pair = parsed_length_pair(digits + "x" + digits + unit, "--size");
            RC_ASSERT(pair.first == pair.second && std::abs(pair.first.value - value * mm) <= 1e-12 * value * mm);
        });
    }

    TEST_CASE("two counts, a colour and any words that are written read back") {
        holds([] {
            const int a = whole_in(1, 100'000, "stitches"), b = whole_in(1, 100'000, "rows");
            const CountPair pair = parsed_count_pair(std::to_string(a) + "x" + std::to_string(b), "--blank");
            RC_ASSERT(pair.first == a && pair.second == b);
            const Srgb8 colour = any_colour("colour");
            RC_ASSERT(parsed_hex(hex_text(colour)) == colour);
            const std::string words = any_words("words");
            const toml::table table = toml::parse("words = " + toml_text(words));
            RC_ASSERT(table["words"].value<std::string>() == words);
        });
    }

    TEST_CASE("yarn that was written, read and written again is the same file") {
        holds([] {
            std::vector<ColourRun> strands{any_run()};
            if (whole_in(0, 1, "two strands") == 1) strands.push_back(any_run());
            const std::string text = yarn_csv(strands);
            RC_ASSERT(yarn_csv(parsed_yarn_csv(text, "yarn.csv")) == text);
        });
    }

    TEST_CASE("a design that was written reads back as it was") {
        const TemporaryFolder folder;
        holds([&] {
            const Design design = any_design();
            const std::string text = written(design);
            const Design read = read_design(folder.file("design.toml", text), ColourBook());
            RC_ASSERT(read.undyed == design.undyed && read.ground.colours == design.ground.colours);
            RC_ASSERT(read.ground.along == design.ground.along && read.layers.size() == design.layers.size());
            for (std::size_t i = 0; i < read.layers.size(); ++i) {
                const DesignLayer &a = read.layers[i], &b = design.layers[i];
                RC_ASSERT(a.name == b.name && a.colour == b.colour && a.stencil.filename() == b.stencil);
                RC_ASSERT(a.strength == b.strength && a.penetration == b.penetration);
            }
            RC_ASSERT(written(read) == text);
        });
    }

    TEST_CASE("a record of any recipe runs again to the same card and the same record") {
        constexpr int kRuns = 40;  // each runs the program twice
        const TemporaryFolder folder;
        const auto run = [&](std::vector<std::string> arguments, const std::string& name) {
            for (const std::string& extra :
                 {"-o" + (folder / name).string(), "--record=" + (folder / (name + ".toml")).string()})
                arguments.push_back(extra);
            return program_test::program(arguments);
        };
        holds(
            [&] {
                const std::vector<std::string> typed = any_recipe();
                const program_test::Outcome first = run(typed, "first");
                RC_LOG() << first.err;
                RC_ASSERT(first.code == 0);
                const program_test::Outcome again =
                    run({"dye", "--from-record=" + (folder / "first.toml").string()}, "again");
                RC_LOG() << again.err;
                RC_ASSERT(again.code == 0);
                for (const std::string file : {"/dye-card.html", ".toml"}) {
                    const bool same = file_bytes(folder / ("first" + file)) == file_bytes(folder / ("again" + file));
                    RC_ASSERT(same);
                }
            },
            kRuns);
    }
}
