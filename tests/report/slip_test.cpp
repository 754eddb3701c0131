#include "loopread/report/slip.h"

#include <doctest/doctest.h>

#include <string>

#include "base/words_in.h"

using namespace loopread;

namespace {

ParcelSlip usual_slip() {
    ParcelSlip slip{.title = "Lanterns", .maker = "A Dyer"};
    slip.facts = {"2 strands of 211 m, 231 yd, 50 g each", "75 % wool, 25 % nylon"};
    slip.knitting = "Stripes of 3 rounds.";
    slip.blank = PagePicture{"\xff\xd8\xff\xe0", "the blank", "", 10, 30};
    slip.code = PagePicture{"\x89PNG", "QR code", "https://example.org/a", 10, 10};
    return slip;
}

}  // namespace

TEST_SUITE("report") {
    TEST_CASE("the slip says how to find the edge, wind alike, soak and wash") {
        const std::string html = slip_html(usual_slip());
        for (const char* words : {"Tug its loose end", "tags A and B", "Start both socks from the same end",
                                  "Soak the crimp out", "wash alone, cool", "Ball A", "Ball B", "Stripes of 3 rounds.",
                                  "75 % wool, 25 % nylon", "https:/<wbr>/<wbr>example.org/<wbr>a", "size: A5"}) {
            CAPTURE(words);
            CHECK(has(html, words));
        }
    }

    TEST_CASE("yarn that is wound already needs no tug and its picture says what came off first") {
        ParcelSlip slip = usual_slip();
        slip.parcel = Parcel::wound_yarn;
        const std::string html = slip_html(slip);
        CHECK_FALSE(has(html, "Tug its loose end"));
        CHECK(has(html, "Two balls, wound alike"));
        CHECK(has(html, "came off first here"));
        CHECK_FALSE(has(html, "comes apart here"));
        CHECK(has(html, "Start both socks from the same end"));
    }

    TEST_CASE("one strand has one tag and speaks of no ball B") {
        ParcelSlip slip = usual_slip();
        slip.strands = 1;
        for (const Parcel parcel : {Parcel::whole_blank, Parcel::wound_yarn}) {
            slip.parcel = parcel;
            const std::string html = slip_html(slip);
            CHECK_FALSE(has(html, "Ball B"));
            CHECK_FALSE(has(html, "tag B"));
            CHECK(has(html, "weigh the ball and stop at half"));
        }
    }

    TEST_CASE("markup in any text of the slip stays text") {
        const std::string bad = "<script>alert(1)</script>\"'&";
        ParcelSlip slip = usual_slip();
        slip.title = slip.maker = slip.knitting = bad;
        slip.facts = {bad};
        slip.blank->alt = slip.blank->caption = slip.code->alt = slip.code->caption = bad;
        const std::string html = slip_html(slip);
        CHECK_FALSE(has(html, "<script"));
        CHECK(has(html, "&lt;script&gt;alert(1)&lt;/script&gt;&quot;&#39;&amp;"));
        CHECK(has(html, "default-src 'none'"));
    }
}
