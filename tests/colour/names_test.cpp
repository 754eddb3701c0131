#include "loopread/colour/names.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <set>
#include <string>

#include "loopread/base/error.h"
#include "loopread/colour/kubelka_munk.h"

using namespace loopread;

namespace {

std::string words_of(const char* hex) {
    return plain_words(lab_from_linear(linear_from_srgb8(parsed_hex(hex).value())));
}

Srgb8 named(const std::string& name) {
    return ColourBook().colour(name, "--ground");
}

/// The dye of `strong` at a fraction of its strength on undyed yarn.
Srgb8 thinned(Srgb8 strong, double fraction) {
    const KOverS undyed = k_over_s(linear_from_srgb8(named("undyed")));
    const KOverS dye = k_over_s(linear_from_srgb8(strong)) - undyed;
    return srgb8_from_linear(linear_from_k_over_s(undyed + dye * fraction));
}

int worst_code(Srgb8 a, Srgb8 b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

}  // namespace

TEST_SUITE("colour") {
    TEST_CASE("plain words are those a person would use") {
        struct Named {
            const char* hex;
            const char* words;
        };
        // named by eye before the bands were drawn; the CSS colours among them after their CSS names
        const Named all[] = {
            {"#ffffff", "white"},       {"#000000", "black"},       {"#808080", "mid grey"},
            {"#d3d3d3", "pale grey"},   {"#404040", "dark grey"},   {"#f3ede0", "off-white"},
            {"#17181d", "near black"},  {"#ff0000", "red"},         {"#8b0000", "dark red"},
            {"#ffc0cb", "pale pink"},   {"#ff69b4", "pink"},        {"#ffa500", "orange"},
            {"#ffff00", "yellow"},      {"#fff8b0", "pale yellow"}, {"#808000", "olive"},
            {"#008000", "green"},       {"#006400", "dark green"},  {"#00ff00", "bright green"},
            {"#b0e0b0", "pale green"},  {"#008080", "teal"},        {"#004040", "dark teal"},
            {"#aee0e0", "pale teal"},   {"#0000ff", "blue"},        {"#000080", "dark blue"},
            {"#87ceeb", "pale blue"},   {"#4682b4", "blue"},        {"#7d3fa0", "purple"},
            {"#3b0a52", "dark purple"}, {"#d8c4ec", "pale purple"}, {"#8b4513", "brown"},
            {"#4b2a12", "dark brown"},  {"#d2b48c", "beige"},       {"#708090", "greyish blue"},
            {"#800020", "dark red"},    {"#fa8072", "pink"},        {"#e6e6fa", "pale purple"},
        };
        for (const Named& one : all) {
            CAPTURE(one.hex);
            CHECK(words_of(one.hex) == one.words);
        }
    }

    TEST_CASE("every colour of the gamut has one to three plain words") {
        std::set<std::string> seen;
        for (int r = 0; r < 256; r += 15)
            for (int g = 0; g < 256; g += 15)
                for (int b = 0; b < 256; b += 15) {
                    const Srgb8 colour{static_cast<std::uint8_t>(r), static_cast<std::uint8_t>(g),
                                       static_cast<std::uint8_t>(b)};
                    seen.insert(plain_words(lab_from_linear(linear_from_srgb8(colour))));
                }
        for (const std::string& words : seen) {
            CAPTURE(words);
            CHECK(words.find_first_not_of("abcdefghijklmnopqrstuvwxyz -") == std::string::npos);
            CHECK(words.front() != ' ');
            CHECK(words.back() != ' ');
        }
        CHECK(seen.size() > 25);  // all the hues, some of them dark and pale
        CHECK(seen.size() < 60);
    }

    TEST_CASE("a blue stays blue as it pales") {
        const Oklab blue = oklab_from_linear(linear_from_srgb8({0, 0, 255}));
        for (double part = 0.15; part < 1; part += 0.05) {
            const Oklab paled{1 - (1 - blue.l) * part, blue.a * part, blue.b * part};
            CAPTURE(part);
            CHECK(plain_words(lab_from_linear(linear_from_oklab(paled))).find("blue") != std::string::npos);
        }
    }

    TEST_CASE("the built-in names are those that were promised, each once") {
        std::set<std::string_view> names;
        for (const NamedColour& one : built_in_colours()) names.insert(one.name);
        CHECK(names.size() == built_in_colours().size());
        CHECK(names.size() == 33);
        for (const char* plain : {"undyed", "white", "black"}) CHECK(names.contains(plain));
        for (const char* hue : {"grey", "red", "orange", "yellow", "green", "teal", "blue", "purple", "pink", "brown"})
            for (const char* number : {"-1", "-2", "-3"}) CHECK(names.contains(std::string(hue) + number));
        CHECK(named("undyed") == Srgb8{0xf3, 0xed, 0xe0});
    }

    TEST_CASE("numbers 2 and 3 are the dye of number 1 at a third and a tenth") {
        constexpr int kCodes = 1;  // a code value each way of rounding
        for (const char* hue :
             {"grey", "red", "orange", "yellow", "green", "teal", "blue", "purple", "pink", "brown"}) {
            CAPTURE(hue);
            const Srgb8 strong = named(std::string(hue) + "-1");
            CHECK(worst_code(named(std::string(hue) + "-2"), thinned(strong, 1.0 / 3)) <= kCodes);
            CHECK(worst_code(named(std::string(hue) + "-3"), thinned(strong, 1.0 / 10)) <= kCodes);
        }
    }

    TEST_CASE("plain words of a built-in dye at full strength hold its name") {
        for (const char* hue :
             {"grey", "red", "orange", "yellow", "green", "teal", "blue", "purple", "pink", "brown"}) {
            CAPTURE(hue);
            const Lab strong = lab_from_linear(linear_from_srgb8(named(std::string(hue) + "-1")));
            CHECK(plain_words(strong).find(hue) != std::string::npos);
        }
    }

    TEST_CASE("a book knows hex, built-in and added colours, and says what it does not know") {
        ColourBook book;
        CHECK(book.colour("#1d4F9f", "--ground") == Srgb8{0x1d, 0x4f, 0x9f});
        CHECK_THROWS_WITH_AS(book.colour("harbour", "--ground"), doctest::Contains("--ground: 'harbour'"), Error);
        book.add("harbour=#2a4d6e");
        CHECK(book.colour("harbour", "--ground") == Srgb8{0x2a, 0x4d, 0x6e});
        book.add("red-1 = #f00");
        CHECK(book.colour("red-1", "--ground") == Srgb8{255, 0, 0});
        for (const char* bad :
             {"harbour", "=#2a4d6e", "harbour=", "harbour=blue-1", "harbour=#2a4d6", "#123=#123456", ""}) {
            CAPTURE(bad);
            CHECK_THROWS_AS(book.add(bad), Error);
        }
        for (const char* bad : {"", "#12345", "red", "Red-1", "red-4"}) {
            CAPTURE(bad);
            CHECK_THROWS_WITH_AS(book.colour(bad, "--undyed"), doctest::Contains("red-1"), Error);
        }
        try {
            book.colour("mauve", "--ground");
        } catch (const Error& error) {
            CHECK(error.kind() == ErrorKind::usage);
        }
    }
}
