#include "loopread/report/page.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <string>

#include "base/words_in.h"

using namespace loopread;

namespace {

/// A page with something in every place.
PreviewPage full_page() {
    PreviewPage page;
    page.title = "lanterns";
    page.sentence = "Stripes of two rounds.";
    page.facts = {"one fact"};
    page.assumed = {"one guess"};
    page.warnings = {"one warning"};
    page.first_screen = {{"\x89PNG\r\n", "the blank", "blank", 30, 40},
                         {"\xff\xd8\xff", "the fabric", "fabric", 50, 60}};
    page.below = {{"\x89PNG\r\n", "the strands", "strands", 70, 80}};
    page.files = {"yarn.csv"};
    return page;
}

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

}  // namespace

TEST_SUITE("report") {
    TEST_CASE("base64 gives the test vectors of its standard") {
        // [RFC 4648], section 10
        CHECK(base64("") == "");
        CHECK(base64("f") == "Zg==");
        CHECK(base64("fo") == "Zm8=");
        CHECK(base64("foo") == "Zm9v");
        CHECK(base64("foob") == "Zm9vYg==");
        CHECK(base64("fooba") == "Zm9vYmE=");
        CHECK(base64("foobar") == "Zm9vYmFy");
    }

    TEST_CASE("base64 takes bytes over 127, zeros and the two last digits") {
        // by hand: 0x14fb9c03d97e, the worked example of [RFC 4648] section 9, and six-bit groups of 62, 63 and 0
        CHECK(base64("\x14\xfb\x9c\x03\xd9\x7e") == "FPucA9l+");
        CHECK(base64("\x14\xfb\x9c\x03\xd9") == "FPucA9k=");
        CHECK(base64("\xff\xff\xff") == "////");
        CHECK(base64(std::string(3, '\0')) == "AAAA");
    }

    TEST_CASE("characters that mean something in a page are escaped, all others kept") {
        CHECK(html_escape("<b title=\"x\">R&D's</b>") == "&lt;b title=&quot;x&quot;&gt;R&amp;D&#39;s&lt;/b&gt;");
        CHECK(html_escape("&lt;") == "&amp;lt;");
        CHECK(html_escape("tide lines, 24 x 86 cm") == "tide lines, 24 x 86 cm");
        CHECK(html_escape("\xc3\xa9") == "\xc3\xa9");
        CHECK(html_escape("").empty());
    }

    TEST_CASE("nothing in the page points outside it") {
        const std::string html = lower(page_html(full_page()));
        for (const char* outside :
             {"http://", "https://", "href", "url(", "@import", "<script", "<link", "<iframe", "srcset", "file:"}) {
            CAPTURE(std::string(outside));
            CHECK_FALSE(has(html, outside));
        }
        CHECK(times(html, "src=") == 3);
        CHECK(times(html, "src=\"data:image/") == 3);
    }

    TEST_CASE("pictures travel in the page with their kind, size and words") {
        const std::string html = page_html(full_page());
        CHECK(has(html, "data:image/png;base64," + base64("\x89PNG\r\n") + "\""));
        CHECK(has(html, "data:image/jpeg;base64," + base64("\xff\xd8\xff") + "\""));
        CHECK(has(html, "width=\"50\" height=\"60\""));
        CHECK(times(html, "<img ") == 3);
        CHECK(times(html, " alt=\"the ") == 3);
    }

    TEST_CASE("names with angle brackets, ampersands and quotes are shown as text wherever they stand") {
        const std::string name = "<img src=x> & \"tea\" 'n' nets";
        PreviewPage page;
        page.title = page.sentence = name;
        page.facts = page.assumed = page.warnings = page.files = {name};
        page.first_screen = {{"\x89PNG", name, name, 1, 1}};
        page.below = {{"\xff\xd8", name, name, 1, 1}};
        const std::string html = page_html(page);
        CHECK_FALSE(has(html, "<img src=x"));
        CHECK_FALSE(has(html, "\"tea\""));
        CHECK(times(html, "<img ") == 2);
        // title twice (tab and heading), sentence, four lists, two captions, two descriptions
        CHECK(times(html, html_escape(name)) == 11);
    }

    TEST_CASE("a sentence, facts, guesses, warnings and files are all on the page, and empty lists leave no heading") {
        const std::string html = page_html(full_page());
        for (const char* words :
             {"Stripes of two rounds.", "one fact", "one guess", "one warning", "yarn.csv", "rests on"}) {
            CAPTURE(std::string(words));
            CHECK(has(html, words));
        }
        PreviewPage bare;
        bare.title = "nets";
        CHECK_FALSE(has(page_html(bare), "rests on"));
        CHECK_FALSE(has(page_html(bare), "<ul"));
    }

    TEST_CASE("how sure the sentence is stands right under it, as text, and leaves no line where it is not told") {
        PreviewPage page = full_page();
        CHECK_FALSE(has(page_html(page), "class=\"sure\""));
        page.how_sure = "Not sure: 58 of 100 draws say <b>.";
        const std::string html = page_html(page);
        CHECK(times(html, "Not sure: 58 of 100 draws say &lt;b&gt;.") == 1);
        CHECK(html.find("Stripes of two rounds.") < html.find("Not sure"));
        CHECK(html.find("Not sure") < html.find("one fact"));
    }

    TEST_CASE("the page is one whole document that declares its encoding before any words of the user") {
        const std::string html = page_html(full_page());
        CHECK(html.rfind("<!doctype html>", 0) == 0);
        CHECK(html.find("charset=\"utf-8\"") < html.find("lanterns"));
        CHECK(times(html, "</html>") == 1);
        for (const char* tag : {"div", "ul", "figure", "p", "li", "main", "body", "head"}) {
            CAPTURE(std::string(tag));
            const std::string name = tag;
            CHECK(times(html, "<" + name + ">") + times(html, "<" + name + " ") == times(html, "</" + name + ">"));
        }
    }
}
