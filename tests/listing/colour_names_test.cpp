#include "loopread/listing/colour_names.h"

#include <doctest/doctest.h>

#include <string>

#include "loopread/base/error.h"
#include "loopread/listing/typed_words.h"

using namespace loopread;

namespace {

PaletteColour colour(const char* hex, const char* words, double share) {
    return {linear_from_srgb8(*parsed_hex(hex)), share, words};
}

const std::vector<PaletteColour> kPalette = {colour("#2f7d9b", "mid blue", 0.5), colour("#d8455a", "red", 0.3),
                                             colour("#f3ede0", "off-white", 0.2)};

}  // namespace

TEST_SUITE("listing") {
    TEST_CASE("a colour is named by its hex or by its plain words") {
        const NamedPalette result =
            named(kPalette, parsed_colour_names("#2F7D9B = Harbour at dusk\nred=Lantern = light\n", "names.txt"));
        CHECK(result.colours[0].name == "Harbour at dusk");
        CHECK(result.colours[1].name == "Lantern = light");
        CHECK(result.colours[2].name == "off-white");
        CHECK(result.unused.empty());
    }

    TEST_CASE("a hex a little off still names its colour and a far one is told of") {
        const NamedPalette result =
            named(kPalette, parsed_colour_names("# my names\n\n#30809d = Harbour\n#00ff00 = Weed\nteal = Sea", "n"));
        CHECK(result.colours[0].name == "Harbour");
        REQUIRE(result.unused.size() == 2);
        CHECK(result.unused[0].line == 4);
        CHECK(result.unused[1].key == "teal");
    }

    TEST_CASE("the later of two names for one colour holds") {
        const NamedPalette result = named(kPalette, parsed_colour_names("red = First\n#d8455a = Second\n", "n"));
        CHECK(result.colours[1].name == "Second");
    }

    TEST_CASE("the file that is written reads back as the same names") {
        NamedPalette first = named(kPalette, parsed_colour_names("red = Lantern <b>\n", "n"));
        const std::string file = colour_names_file(first.colours);
        const NamedPalette again = named(kPalette, parsed_colour_names(file, "names.txt"));
        for (std::size_t i = 0; i < kPalette.size(); ++i) CHECK(again.colours[i].name == first.colours[i].name);
        CHECK(again.unused.empty());
    }

    TEST_CASE("byte-order mark and CRLF do no harm") {
        const auto lines = parsed_colour_names("\xef\xbb\xbfred = Lantern\r\n#2f7d9b = Quay\r\n", "n");
        REQUIRE(lines.size() == 2);
        CHECK(lines[0].key == "red");
        CHECK(lines[0].name == "Lantern");
    }

    TEST_CASE("all faults of a file of names are told with their lines") {
        try {
            parsed_colour_names(
                "red Lantern\n = Nothing\nred =\nblue = a\x01"
                "b\nblue = \xc3\x28\n",
                "names.txt");
            FAIL("was read");
        } catch (const Error& fault) {
            CHECK(fault.kind() == ErrorKind::input);
            const std::string what = fault.what();
            CAPTURE(what);
            for (const char* line : {"1", "2", "3"}) CHECK(what.find(line) != std::string::npos);
            CHECK(what.find("names.txt") == 0);
        }
        CHECK_THROWS_AS(parsed_colour_names("blue = a\x01"
                                            "b",
                                            "n"),
                        Error);
        CHECK_THROWS_AS(parsed_colour_names("blue = \xc3\x28", "n"), Error);
        CHECK_THROWS_AS(parsed_colour_names("blue = " + std::string(200, 'x'), "n"), Error);
    }

    TEST_CASE("words are UTF-8 that can be printed") {
        CHECK(fault_of_words("Gr\u00fc\u00dfe, \u6d77, \U0001f9f6", 100, Lines::one).empty());
        CHECK(fault_of_words("two\nlines", 100, Lines::several).empty());
        CHECK_FALSE(fault_of_words("two\nlines", 100, Lines::one).empty());
        // RFC 3629, section 3: overlong forms, surrogates and codes over 10FFFF are not UTF-8.
        for (const char* bad :
             {"\xc0\xaf", "\xe0\x80\xaf", "\xed\xa0\x80", "\xf4\x90\x80\x80", "\xc3", "\x80", "\xff"}) {
            CAPTURE(bad);
            CHECK_FALSE(fault_of_words(bad, 100, Lines::one).empty());
        }
        CHECK_FALSE(fault_of_words("\u202etxt.exe", 100, Lines::one).empty());
        CHECK_FALSE(fault_of_words("xxxxx", 4, Lines::one).empty());
        CHECK(printable("a\xff\x01\u202e"
                        "b\u00e9") == "ab\u00e9");
    }
}
