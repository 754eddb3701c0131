#include "loopread/listing/fibre.h"

#include <doctest/doctest.h>

#include <string>

#include "loopread/base/error.h"

using namespace loopread;

TEST_SUITE("listing") {
    // EU 1007/2011, Art. 9: fibres by name and percentage by weight, in descending order.
    TEST_CASE("fibres stand in descending order, however they were typed") {
        CHECK(fibre_line(parsed_fibre("wool 75, nylon 25")) == "75 % wool, 25 % nylon");
        CHECK(fibre_line(parsed_fibre("nylon 25, wool 75")) == "75 % wool, 25 % nylon");
        CHECK(fibre_line(parsed_fibre("10% silk,20 % nylon , 70 wool")) == "70 % wool, 20 % nylon, 10 % silk");
        CHECK(fibre_line(parsed_fibre("wool 100")) == "100 % wool");
        CHECK(fibre_line(parsed_fibre("wool 62.5, recycled wool 25, nylon 12.5")) ==
              "62.5 % wool, 25 % recycled wool, 12.5 % nylon");
    }

    TEST_CASE("equal parts keep the order in which they were typed") {
        CHECK(fibre_line(parsed_fibre("silk 50, wool 50")) == "50 % silk, 50 % wool");
    }

    TEST_CASE("fibre that does not add to 100 is refused with its sum") {
        for (const char* text :
             {"wool 75, nylon 20", "wool 80, nylon 30", "wool 99.9", "wool 33.3, silk 33.3, nylon 33.3"}) {
            CAPTURE(text);
            CHECK_THROWS_WITH_AS(parsed_fibre(text), doctest::Contains("not to 100"), Error);
        }
        CHECK_THROWS_WITH_AS(parsed_fibre("wool 75, nylon 20"), doctest::Contains("95"), Error);
    }

    TEST_CASE("nonsense is no fibre") {
        for (const char* text :
             {"", "wool", "75", "wool 75,, nylon 25", "wool 75, wool 25", "wool -5, nylon 105", "wool 0, nylon 100",
              "wool nan", "wool 75 nylon 25", "wool 100\n", "wool\x01 100", "\xff\xfe 100"}) {
            CAPTURE(text);
            try {
                parsed_fibre(text);
                FAIL("was taken for fibre");
            } catch (const Error& fault) {
                CHECK(fault.kind() == ErrorKind::usage);
                CHECK(std::string(fault.what()).find("--fibre: ") == 0);
            }
        }
    }

    TEST_CASE("a breed and a process are told apart from fibres") {
        CHECK(fibre_warnings(parsed_fibre("wool 75, nylon 25")).empty());
        CHECK(fibre_warnings(parsed_fibre("superwash merino 75, nylon 25")).size() == 2);
        CHECK(fibre_warnings(parsed_fibre("pure wool 75, nylon 25")).size() == 1);
        CHECK(fibre_warnings(parsed_fibre("pure wool 100")).empty());
    }
}
