#include "loopread/base/text.h"

#include <doctest/doctest.h>

#include <limits>
#include <stdexcept>

#include "loopread/base/error.h"

using namespace loopread;

namespace {

/// What is said about an option that cannot be used; empty if it can.
template <class Read>
std::string said(Read read, std::string_view text) {
    try {
        read(text, "--size");
    } catch (const Error& error) {
        CHECK(error.kind() == ErrorKind::usage);
        const std::string message = error.what();
        CHECK(message.starts_with("--size: '" + trimmed(text) + "' "));
        CHECK(message.find('\n') == std::string::npos);
        return message;
    }
    return {};
}

double mm(std::string_view text) {
    return parsed_length(text, "--loop").value;
}

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("numbers are written without idle zeros and never as minus nought") {
        CHECK(number_text(1.5, 3) == "1.5");
        CHECK(number_text(100, 0) == "100");
        CHECK(number_text(100, 2) == "100");
        CHECK(number_text(0.125, 3) == "0.125");
        CHECK(number_text(2.0 / 3, 4) == "0.6667");
        CHECK(number_text(-0.0004, 3) == "0");
        CHECK(number_text(-0.0, 3) == "0");
        CHECK(number_text(-2.5, 1) == "-2.5");
        CHECK(number_text(1e21, 2) == "1000000000000000000000");
    }

    TEST_CASE("columns keep their places") {
        std::string text = "x";
        append_fixed(text, 1.5, 4);
        append_fixed(text, -0.00001, 4);
        append_fixed(text, -3, 0);
        CHECK(text == "x1.50000.0000-3");
        std::string long_text;
        append_fixed(long_text, std::numeric_limits<double>::max(), 4);
        CHECK(long_text.size() == 309 + 5);
    }

    TEST_CASE("a number is the whole text or nothing") {
        CHECK(parsed_number(" 1.5 ") == 1.5);
        CHECK(parsed_number("+2") == 2);
        CHECK(parsed_number("-.5e1") == -5);
        for (const char* bad : {"", " ", "+", "-", "1,5", "1.5mm", "nan", "inf", "-inf", "1e400", "0x10", "1 2", "+-3",
                                "++3", "--3", "1e", "e1"}) {
            CAPTURE(bad);
            CHECK(!parsed_number(bad));
        }
        CHECK(parsed_whole(" 42 ") == 42);
        CHECK(parsed_whole("-7") == -7);
        for (const char* bad : {"", "1.0", "1e3", "9223372036854775808", "4x", "x"}) {
            CAPTURE(bad);
            CHECK(!parsed_whole(bad));
        }
    }

    TEST_CASE("lengths are read in all their units") {
        CHECK(mm("15mm") == 15);
        CHECK(mm("1.5cm") == 15);
        CHECK(mm("0.6in") == doctest::Approx(15.24).epsilon(1e-15));
        CHECK(mm("211m") == 211'000);
        CHECK(mm("231yd") == doctest::Approx(211'226.4).epsilon(1e-15));  // a yard is 914.4 mm since 1959
        CHECK(mm(" 15 mm ") == 15);
        CHECK(mm("1e2mm") == 100);
    }

    TEST_CASE("a bare number is refused and the units are named") {
        for (const char* bare : {"15", " 15 ", "1.5", "-15", "1e3"}) {
            const std::string message = said(parsed_length, bare);
            CAPTURE(message);
            CHECK(message.find("has no unit") != std::string::npos);
            for (const char* unit : {"mm", "cm", "in", "m"})
                CHECK(message.find(trimmed(bare) + unit) != std::string::npos);
        }
    }

    TEST_CASE("what is no length is refused with an example") {
        for (const char* bad : {"", "mm", "nan", "nanmm", "infmm", "1e400mm", "15 m m", "15km", "15mmm", "fifteen mm",
                                "0x10mm", "1,5cm", "15MM", "15ft", "+-3mm"}) {
            CAPTURE(bad);
            CHECK(said(parsed_length, bad).find("15mm") != std::string::npos);
        }
        for (const char* none : {"0mm", "-3mm", "-0m", "0.0in"}) {
            CAPTURE(none);
            CHECK(said(parsed_length, none).find("more than 0") != std::string::npos);
        }
        CHECK(said(parsed_length, "101000m").find("100 km") != std::string::npos);
        CHECK(said(parsed_length, "1e300m").find("100 km") != std::string::npos);
        CHECK(said(parsed_length, "1e308yd").find("100 km") != std::string::npos);
    }

    TEST_CASE("a pair of lengths shares its unit or has two") {
        const LengthPair pair = parsed_length_pair("24x86cm", "--size");
        CHECK(pair.first == 240.0_mm);
        CHECK(pair.second == 860.0_mm);
        const LengthPair mixed = parsed_length_pair("24cmx0.86m", "--size");
        CHECK(mixed.first == 240.0_mm);
        CHECK(mixed.second == 860.0_mm);
        const LengthPair spaced = parsed_length_pair(" 24 cm x 86 cm ", "--size");
        CHECK(spaced.first == 240.0_mm);
        CHECK(spaced.second == 860.0_mm);
    }

    TEST_CASE("a pair of lengths that is none is refused") {
        CHECK(said(parsed_length_pair, "24x86").find("24x86cm") != std::string::npos);
        for (const char* bad : {"", "24", "24cm", "x", "x86cm", "24xcm", "24x", "24x86x2cm", "axbcm", "24x-86cm",
                                "0x86cm", "nanx86cm", "24x1e400cm", "cmx24cm"}) {
            CAPTURE(bad);
            CHECK(!said(parsed_length_pair, bad).empty());
        }
    }

    TEST_CASE("what is replaced is not looked for again in what stands there now") {
        CHECK(replaced("a b a", "a", "aa") == "aa b aa");
        CHECK(replaced("--white", "--white", "--other-white") == "--other-white");
        CHECK(replaced("aaa", "aa", "b") == "ba");
        CHECK(replaced("abc", "d", "e") == "abc");
        CHECK_THROWS_AS(replaced("abc", "", "d"), std::logic_error);
    }

    TEST_CASE("a sentence has a capital and one full stop") {
        CHECK(sentence("wool and nylon") == "Wool and nylon.");
        CHECK(sentence("Wool.") == "Wool.");
        CHECK(sentence("7 m") == "7 m.");
        CHECK(sentence("").empty());
    }

    TEST_CASE("the 26 letters are made small, and no byte of another letter is touched") {
        CHECK(lowered("Wool 75 %, NYLON") == "wool 75 %, nylon");
        CHECK(lowered("\xc3\x84") == "\xc3\x84");
    }

    TEST_CASE("a pair of counts is two whole numbers over nought") {
        const CountPair pair = parsed_count_pair("46x214", "--blank");
        CHECK(pair.first == 46);
        CHECK(pair.second == 214);
        CHECK(parsed_count_pair(" 46 x 214 ", "--blank").second == 214);
        for (const char* bad : {"", "46", "46x", "x214", "46x214x2", "4.6x214", "46*214", "0x214", "46x-1", "1000000x2",
                                "99999999999999999999x2"}) {
            CAPTURE(bad);
            CHECK(!said(parsed_count_pair, bad).empty());
        }
    }
}
