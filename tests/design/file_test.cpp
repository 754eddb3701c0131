#include "loopread/design/file.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "loopread/base/error.h"

using namespace loopread;

namespace {

Srgb8 hex(const char* text) {
    return *parsed_hex(text);
}

/// What reading says about a file with this text; empty if nothing.
std::string complaint(const std::string& text) {
    const TemporaryFolder folder;
    try {
        read_design(folder.file("design.toml", text), ColourBook{});
        return "";
    } catch (const Error& fault) {
        CHECK(fault.kind() == ErrorKind::input);
        return fault.what();
    }
}

bool mentions(const std::string& text, const std::string& word) {
    return text.find(word) != std::string::npos;
}

Design design_of(const std::string& text) {
    const TemporaryFolder folder;
    return read_design(folder.file("design.toml", text), ColourBook{});
}

const std::string kLayer = "[[layer]]\nstencil = \"a.png\"\ncolour = \"#39467c\"\n";

struct Fault {
    std::string text;
    int line;
    std::string word;  // of what is wrong
};

const Fault kFaults[] = {
    {"undyed = \"#f3ede0\"\nsparkle = 1\n", 2, "sparkle"},
    {"[ground]\ncolour = \"#2f7d9b\"\ncolor = \"#2f7d9b\"\n", 3, "color"},
    {kLayer + "strenght = 1\n", 4, "strenght"},
    {"# sky\n[ground]\ncolour = \"#2f7d9b\"\nfade = [\"#2f7d9b\", \"#ffffff\"]\n", 2,
     "one of colour, fade and picture"},
    {"[ground]\ncolour = \"#2f7d9b\"\npicture = \"bath.png\"\n", 1, "one of colour, fade and picture"},
    {"\n\n[ground]\nalong = \"width\"\n", 3, "one of colour, fade and picture"},
    {kLayer + "strength = -1\n", 4, "strength"},
    {kLayer + "strength = 1000\n", 4, "strength"},
    {kLayer + "strength = nan\n", 4, "strength"},
    {kLayer + "strength = inf\n", 4, "strength"},
    {kLayer + "strength = \"strong\"\n", 4, "strength"},
    {kLayer + "penetration = 2\n", 4, "penetration"},
    {kLayer + "penetration = -0.1\n", 4, "penetration"},
    {kLayer + "penetration = nan\n", 4, "penetration"},
    {kLayer + "name = 7\n", 4, "name"},
    {"\n[[layer]]\ncolour = \"#39467c\"\n", 2, "stencil"},
    {"\n[[layer]]\nstencil = \"\"\ncolour = \"#39467c\"\n", 3, "stencil"},
    {"\n[[layer]]\nstencil = 3\ncolour = \"#39467c\"\n", 3, "stencil"},
    {"\n\n[[layer]]\nstencil = \"a.png\"\n", 3, "colour"},
    {"[[layer]]\nstencil = \"a.png\"\ncolour = \"#39467\"\n", 3, "#39467"},
    {"[[layer]]\nstencil = \"a.png\"\ncolour = 39467\n", 3, "colour"},
    {"[[layer]]\nstencil = \"a.png\"\ncolour = \"mauve-like\"\n", 3, "mauve-like"},
    {"[layer]\nstencil = \"a.png\"\ncolour = \"#39467c\"\n", 1, "[[layer]]"},
    {"layer = 5\n", 1, "[[layer]]"},
    {"\nground = \"#2f7d9b\"\n", 2, "[ground]"},
    {"[ground]\nfade = [\"#2f7d9b\"]\n", 2, "fade"},
    {"[ground]\nfade = \"#2f7d9b\"\n", 2, "fade"},
    {"[ground]\nfade = [\n\"#2f7d9b\",\n\"#zzz\"]\n", 4, "#zzz"},
    {"[ground]\ncolour = \"#2f7d9b\"\nalong = \"length ways\"\n", 3, "along"},
    {"[ground]\ncolour = \"#2f7d9b\"\nalong = 2\n", 3, "along"},
    {"undyed = 7\n", 1, "undyed"},
    {"undyed = \"#f3ede0\"\nundyed = \"#f3ede0\"\n", 2, "undyed"},  // TOML forbids it
    {"undyed = \"#f3ede0\"\n\n[ground\n", 3, ""},
    {"\nwhat is this\n", 2, ""},
};

}  // namespace

TEST_SUITE("design") {
    TEST_CASE("the lantern design reads as it is written") {
        const Design design = read_design(LOOPREAD_SAMPLES "/lanterns.toml", ColourBook{});
        CHECK(design.undyed == hex("#f3ede0"));
        REQUIRE(design.ground.colours.size() == 3);
        CHECK(design.ground.colours[0] == hex("#2f7d9b"));
        CHECK(design.ground.colours[2] == hex("#dde9e4"));
        CHECK(design.ground.along == DesignGround::Along::length);
        REQUIRE(design.layers.size() == 2);
        CHECK(design.layers[0].name == "lantern bodies");
        CHECK(design.layers[0].colour == hex("#d8455a"));
        CHECK(design.layers[1].name == "lines and caps");
        CHECK(design.layers[1].strength == 1.0);
        CHECK(design.layers[1].penetration == 0.4);
        REQUIRE(design.pictures().size() == 2);
        for (const auto& picture : design.pictures()) CHECK(std::filesystem::exists(picture));
    }

    TEST_CASE("what is left out has its usual value") {
        const Design bare = design_of("# nothing dyed\n");
        CHECK(bare.layers.empty());
        CHECK(bare.undyed == hex("#f3ede0"));
        REQUIRE(bare.ground.colours.size() == 1);
        CHECK(bare.ground.colours[0] == bare.undyed);
        CHECK(design_of("undyed = \"#eeeeee\"\n").ground.colours[0] == hex("#eeeeee"));

        const Design one = design_of(kLayer);
        REQUIRE(one.layers.size() == 1);
        CHECK(one.layers[0].name == "layer 1");
        CHECK(one.layers[0].strength == 1);
        CHECK(one.layers[0].penetration == 0.4);
    }

    TEST_CASE("colours may be named, and pictures lie beside the file") {
        const TemporaryFolder folder;
        ColourBook book;
        book.add("harbour=#102030");
        const auto file =
            folder.file("design.toml", "[ground]\npicture = \"bath.png\"\nalong = \"width\"\n" +
                                           std::string("[[layer]]\nstencil = \"a.png\"\ncolour = \"harbour\"\n"));
        const Design design = read_design(file, book);
        CHECK(design.ground.along == DesignGround::Along::width);
        CHECK(design.layers[0].colour == hex("#102030"));
        const std::vector<std::filesystem::path> expected{folder / "bath.png", folder / "a.png"};
        CHECK(design.pictures() == expected);
    }

    TEST_CASE("every fault is named with its line") {
        for (const Fault& fault : kFaults) {
            const std::string said = complaint(fault.text);
            CAPTURE(fault.text);
            CAPTURE(said);
            CHECK(mentions(said, "design.toml"));
            CHECK(mentions(said, "line " + std::to_string(fault.line) + ":"));
            CHECK(mentions(said, fault.word));
            CHECK(!mentions(said, "\n"));
        }
    }

    TEST_CASE("several faults are reported at once, from the top") {
        const std::string said =
            complaint("[ground]\ncolour = \"#zzz\"\n\n" + kLayer + "strength = -1\npenetration = 2\nglitter = 1\n");
        CAPTURE(said);
        std::size_t before = 0;
        for (const std::string line : {"line 2:", "line 7:", "line 8:", "line 9:"}) {
            const std::size_t at = said.find(line);
            REQUIRE(at != std::string::npos);
            CHECK(at >= before);
            before = at;
        }
    }

    TEST_CASE("a missing, empty or binary file is refused") {
        const TemporaryFolder folder;
        CHECK_THROWS_AS(read_design(folder / "none.toml", ColourBook{}), Error);
        CHECK_THROWS_AS(read_design(folder.file("empty.toml", ""), ColourBook{}), Error);
        CHECK_THROWS_AS(read_design(folder.path(), ColourBook{}), Error);
        CHECK_THROWS_AS(
            read_design(folder.file("binary.toml", std::string("\x89PNG\r\n\x1a\n\0\xff", 10)), ColourBook{}), Error);
    }

    TEST_CASE("a design has no more than 64 layers") {
        std::string text;
        for (int i = 0; i < 64; ++i) text += kLayer;
        CHECK(design_of(text).layers.size() == 64);
        CHECK(mentions(complaint(text + kLayer), "64"));
    }
}
