#include "loopread/yarn/file.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <initializer_list>

#include "loopread/base/error.h"
#include "loopread/base/random.h"
#include "loopread/colour/difference.h"

using namespace loopread;

namespace {

/// A strand as a blank gives it: four parts to a loop, of 29, 21, 29 and 21 % of its length.
ColourRun blank_strand(int loops, double loop_mm, std::uint64_t seed) {
    const double shares[] = {0.29, 0.21, 0.29, 0.21};
    Random random(seed);
    std::vector<Piece> pieces;
    double start = 0;
    for (int i = 0; i < loops * 4; ++i) {
        const double length = loop_mm * shares[i % 4];
        pieces.push_back({start,
                          length,
                          i / 4 / 46,
                          i / 4 % 46,
                          static_cast<Part>(i % 4),
                          {random.uniform(), random.uniform(), random.uniform()}});
        start += length;
    }
    return ColourRun(pieces);
}

/// What the reader says of a file, or "read" if it takes it.
std::string verdict(std::string_view text) {
    try {
        parsed_yarn_csv(text, "yarn.csv");
        return "read";
    } catch (const Error& error) {
        CHECK(error.kind() == ErrorKind::input);
        return error.what();
    }
}

void check_says(std::string_view text, std::initializer_list<const char*> all) {
    const std::string said = verdict(text);
    CAPTURE(said);
    CHECK(said.starts_with("yarn.csv: "));
    for (const char* part : all) {
        CAPTURE(part);
        CHECK(said.find(part) != std::string::npos);
    }
}

const std::string kPlain = "strand,start_mm,length_mm,hex\n";
const std::string kFull = "strand,start_mm,length_mm,course,wale,part,L,a,b,hex\n";

}  // namespace

TEST_SUITE("yarn") {
    TEST_CASE("a row holds strand, place, part and colour as the format says") {
        const ColourRun run({{0, 6.09, 3, 12, Part::leg1, linear_from_srgb8({0x80, 0x80, 0x80})},
                             {6.09, 0.5, -1, -1, Part::sinker, linear_from_srgb8({0xff, 0xff, 0xff})}});
        // CIELAB of #808080: 53.5850 by two independent libraries, see tests/data/srgb_xyz_lab_oklab.csv
        CHECK(yarn_csv({run, run}) == kFull +
                                          "1,0.0000,6.0900,3,12,leg1,53.5850,0.0000,0.0000,#808080\n"
                                          "1,6.0900,0.5000,,,,100.0000,0.0000,0.0000,#ffffff\n"
                                          "2,0.0000,6.0900,3,12,leg1,53.5850,0.0000,0.0000,#808080\n"
                                          "2,6.0900,0.5000,,,,100.0000,0.0000,0.0000,#ffffff\n");
    }

    TEST_CASE("what was read is written again to the byte") {
        // a loop length with no end of decimals, so that every start is rounded
        const std::string first = yarn_csv({blank_strand(3000, 64.0 / 3, 1), blank_strand(2999, 64.0 / 3, 2)});
        const std::vector<ColourRun> read = parsed_yarn_csv(first, "yarn.csv");
        REQUIRE(read.size() == 2);
        const bool same = yarn_csv(read) == first;
        CHECK(same);
    }

    TEST_CASE("what was written is read back as it was, to the decimals of the file") {
        constexpr double kHalfStep = 0.51e-4;
        const ColourRun run = blank_strand(500, 20.7, 3);
        const std::vector<ColourRun> read = parsed_yarn_csv(yarn_csv({run}), "yarn.csv");
        REQUIRE(read.size() == 1);
        REQUIRE(read[0].pieces().size() == run.pieces().size());
        double worst_mm = 0, worst_colour = 0;
        bool places = true;
        for (std::size_t i = 0; i < run.pieces().size(); ++i) {
            const Piece &a = run.pieces()[i], &b = read[0].pieces()[i];
            worst_mm = std::max(worst_mm, std::abs(a.start_mm - b.start_mm));
            worst_colour = std::max(worst_colour, delta_e_76(lab_from_linear(a.colour), lab_from_linear(b.colour)));
            places = places && a.course == b.course && a.wale == b.wale && a.part == b.part;
        }
        CHECK(worst_mm < kHalfStep);
        CHECK(worst_colour < 1e-4);  // sqrt(3) half steps
        CHECK(places);
    }

    TEST_CASE("the hex of a colour that 8 bits can hold is that colour") {
        for (int code = 0; code < 256; ++code) {
            const Srgb8 colour{static_cast<std::uint8_t>(code), static_cast<std::uint8_t>(255 - code),
                               static_cast<std::uint8_t>(code * 7 % 256)};
            const std::string text = yarn_csv({ColourRun({{0, 1, 0, 0, Part::sinker, linear_from_srgb8(colour)}})});
            CHECK(text.ends_with(hex_text(colour) + "\n"));
        }
    }

    TEST_CASE("a piece too short for four decimals is left out and opens no gap") {
        const LinearRgb grey{0.2, 0.2, 0.2};
        const ColourRun run({{0, 1, 0, 0, Part::sinker, grey},
                             {1, 0.00002, 0, 0, Part::leg1, grey},
                             {1.00002, 1, 0, 0, Part::needle, grey}});
        const std::vector<ColourRun> read = parsed_yarn_csv(yarn_csv({run}), "yarn.csv");
        CHECK(read[0].pieces().size() == 2);
        CHECK(read[0].length_mm() == doctest::Approx(2).epsilon(1e-12));
    }

    TEST_CASE("a plain file with byte-order mark, CRLF, spaces and empty lines is read") {
        const std::vector<ColourRun> read = parsed_yarn_csv(
            "\xef\xbb\xbfstrand, start_mm ,length_mm,hex\r\n1,0,10,#ff0000\r\n 1 , 10 ,2.5, #00F "
            "\r\n2,0,3,#fff\r\n\r\n\n",
            "yarn.csv");
        REQUIRE(read.size() == 2);
        REQUIRE(read[0].pieces().size() == 2);
        CHECK(read[0].length_mm() == 12.5);
        CHECK(read[0].at(11) == LinearRgb{0, 0, 1});
        CHECK(!read[0].has_places());
        CHECK(read[1].length_mm() == 3);
    }

    TEST_CASE("columns may stand in any order, and a row without L,a,b takes its hex") {
        const std::vector<ColourRun> read = parsed_yarn_csv(
            "hex,b,a,L,length_mm,start_mm,strand\n#ff0000,0,0,100,5,0,1\n#ff0000,,,,5,5,1\n", "yarn.csv");
        CHECK(read[0].at(1).b == doctest::Approx(1).epsilon(1e-9));
        CHECK(read[0].at(6) == LinearRgb{1, 0, 0});
    }

    TEST_CASE("gaps and overlaps of a hundredth are taken up, greater ones are told") {
        const std::vector<ColourRun> read =
            parsed_yarn_csv(kPlain + "1,0.01,10,#f00\n1,10.02,10,#0f0\n1,20.01,10,#00f\n", "yarn.csv");
        CHECK(read[0].length_mm() == doctest::Approx(30.01).epsilon(1e-12));
        CHECK(read[0].pieces()[1].start_mm == doctest::Approx(10.02).epsilon(1e-12));
        check_says(kPlain + "1,0,10,#f00\n1,10.02,10,#0f0\n", {"line 3", "gap", "10.02", "10 mm"});
        check_says(kPlain + "1,0,10,#f00\n1,9.98,10,#0f0\n", {"line 3", "overlap"});
        check_says(kPlain + "1,5,10,#f00\n", {"line 2", "gap", "a strand starts at 0"});
        check_says(kPlain + "1,0,10,#f00\n2,10,10,#f00\n", {"line 3", "gap", "a strand starts at 0"});
        check_says(kPlain + "1,0,0.005,#f00\n1,0,10,#0f0\n", {"line 3", "overlap"});
    }

    TEST_CASE("a header that is not that of the format is told column by column") {
        check_says("strand,start,length_mm,hex\n1,0,1,#fff\n",
                   {"line 1", "'start' is not known", "no column 'start_mm'"});
        check_says("strand;start_mm;length_mm;hex\n1;0;1;#fff\n", {"not known", "commas"});
        check_says("strand,start_mm,length_mm,L,a,hex\n", {"no column 'b'"});
        check_says("strand,start_mm,length_mm,b,hex\n", {"no column 'L'", "no column 'a'"});
        check_says("strand,start_mm,length_mm,wale,hex\n", {"no column 'course'", "no column 'part'"});
        check_says("strand,start_mm,start_mm,length_mm,hex\n", {"'start_mm' is there twice"});
        check_says("1,0,10,#ff0000\n1,10,10,#ff0000\n", {"'#ff0000' is not known"});
    }

    TEST_CASE("a file without rows says so") {
        check_says(kPlain, {"no rows"});
        check_says(kPlain + "\r\n\r\n", {"no rows"});
        check_says("", {"no column 'strand'"});
        check_says("\xef\xbb\xbf", {"no column 'strand'"});
    }

    TEST_CASE("every faulty row is told with its line, all in one message") {
        check_says(kPlain + "1,0,10,#ff0000\n1,10,nan,#ff0000\n1,20,10,red\n1,30,10\n3,40,10,#fff\n",
                   {"line 3: length_mm is 'nan'", "line 4: the colour is 'red'", "line 5: has 3 cells",
                    "line 6: the strand is '3'"});
    }

    TEST_CASE("one fault is told once: the rows after it are not blamed") {
        const std::string said = verdict(kPlain + "1,0,10,#f00\n1,ten,10,#f00\n1,20,10,#f00\n1,30,10,#f00\n");
        CHECK(said == "yarn.csv: line 3: start_mm is 'ten'; it must be a number of millimetres");
    }

    TEST_CASE("numbers that are none, lengths not over nought and places beyond reason are refused") {
        for (const char* length : {"nan", "inf", "-inf", "", "1e400", "1mm", "0x10", "1 2", "--1"}) {
            CAPTURE(length);
            check_says(kPlain + "1,0," + length + ",#fff\n", {"line 2: length_mm is"});
        }
        for (const char* length : {"0", "-1", "0.0", "-0", "1e9"}) {
            CAPTURE(length);
            check_says(kPlain + "1,0," + length + ",#fff\n", {"line 2: length_mm is"});
        }
        check_says(kPlain + "1,-0.005,1,#fff\n", {"line 2: start_mm is '-0.005'"});
        for (const char* hex : {"", "#ffff", "ffffff", "#ggg", "blue", "rgb(0;0;0)"}) {
            CAPTURE(hex);
            check_says(kPlain + "1,0,1," + hex + "\n", {"line 2: the colour is"});
        }
        for (const char* strand : {"0", "3", "-1", "1.5", "", "a", "99999999999999999999"}) {
            CAPTURE(strand);
            check_says(kPlain + strand + ",0,1,#fff\n", {"line 2: the strand is"});
        }
    }

    TEST_CASE("a length that is lost in the digits of its place is refused, since a piece needs one") {
        check_says(kPlain + "1,0,100000000,#fff\n1,100000000,1e-9,#fff\n", {"line 3: length_mm is too small"});
        CHECK(verdict(kPlain + "1,0,100000000,#fff\n1,100000000,1e-3,#fff\n") == "read");
    }

    TEST_CASE("strands come in order, strand 1 first") {
        check_says(kPlain + "2,0,1,#fff\n", {"line 2: strand 2 is out of order"});
        check_says(kPlain + "1,0,1,#fff\n2,0,1,#fff\n1,0,1,#fff\n", {"line 4: strand 1 is out of order"});
    }

    TEST_CASE("bad places, parts and CIELAB are refused") {
        check_says(kFull + "1,0,1,x,0,leg1,50,0,0,#777777\n", {"line 2: the course is 'x'"});
        check_says(kFull + "1,0,1,0,-2,leg1,50,0,0,#777777\n", {"line 2: the wale is '-2'"});
        check_says(kFull + "1,0,1,0,1.5,leg1,50,0,0,#777777\n", {"line 2: the wale is '1.5'"});
        check_says(kFull + "1,0,1,99999999999,0,leg1,50,0,0,#777777\n", {"line 2: the course is"});
        check_says(kFull + "1,0,1,0,,leg1,50,0,0,#777777\n", {"line 2: course and wale"});
        check_says(kFull + "1,0,1,0,0,heel,50,0,0,#777777\n", {"line 2: the part is 'heel'"});
        check_says(kFull + "1,0,1,0,0,,50,0,0,#777777\n", {"line 2: the part is ''"});
        check_says(kFull + "1,0,1,0,0,leg1,50,nan,0,#777777\n", {"line 2: L,a,b are '50', 'nan', '0'"});
        check_says(kFull + "1,0,1,0,0,leg1,50,,0,#777777\n", {"line 2: L,a,b are"});
        check_says(kFull + "1,0,1,0,0,leg1,5350000,0,0,#777777\n", {"line 2: L,a,b are"});
        CHECK(verdict(kFull + "1,0,1,-1,-1,,50,0,0,#777777\n") == "read");
    }

    TEST_CASE("far too many rows are refused before they are read") {
        std::string text = kPlain;
        text.reserve(45'000'000);
        for (int i = 0; i < 10'000'000; ++i) text += "1,x\n";  // each would be a fault of its own
        CHECK(verdict(text) == "yarn.csv: has 10000000 rows; up to 2,000,000 can be used, so cut it");
    }

    TEST_CASE("a file of nothing but faults is given up early") {
        std::string text = kPlain;
        for (int i = 0; i < 100'000; ++i) text += "?,?,?,?\n";
        check_says(text, {"line 2: the strand is '?'", "more faults"});
    }

    TEST_CASE("two strands of a blank are written and read in a moment") {
        // about 20 ms each in an optimised build; a tenfold allowance for sanitizers and busy machines
        constexpr double kMostSeconds = 0.5;
        const std::vector<ColourRun> strands = {blank_strand(9850, 21, 1), blank_strand(9850, 21, 2)};
        const auto begin = std::chrono::steady_clock::now();
        const std::string text = yarn_csv(strands);
        const std::vector<ColourRun> read = parsed_yarn_csv(text, "yarn.csv");
        CHECK(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() < 2 * kMostSeconds);
        CHECK(read[1].pieces().size() == 4 * 9850);
    }
}
