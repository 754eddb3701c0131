#include "loopread/report/dye_card.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <string>

#include "base/words_in.h"

using namespace loopread;

namespace {

RecipeRequest harbour() {
    RecipeRequest request;
    request.fibre = 100.0_g;
    request.places = {{"lamps", 1, 0.3, 0.2}, {"ropes & <knots>", 1, 0.15, 0.1}};
    request.dyes = {{"sea", "", DepthOfShade{0.5}, {1.0}}, {"lamps", "lamps", DepthOfShade{2}, {4.0}}};
    request.pastes = {{"lamps", {2.0}, {}}};
    request.strengths = {1, 0.5};
    return request;
}

DyeCard full_card() {
    DyeCard card{"Harbour lights", "Tide 7", {"north wall, \"second\" row"}, {}, recipe(harbour())};
    card.picture = PagePicture{"\x89PNG\r\n", "the design", "design", 30, 90};
    return card;
}

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

}  // namespace

TEST_SUITE("report") {
    TEST_CASE("a dye card needs no network and runs no script") {
        const std::string html = dye_card_html(full_card());
        CHECK(has(html, "default-src 'none'; img-src data:; style-src 'unsafe-inline'"));
        CHECK_FALSE(has(html, "<script"));
        CHECK_FALSE(has(html, "http://"));
        CHECK_FALSE(has(html, "https://"));
        CHECK_FALSE(has(html, "url("));
        CHECK(times(html, "src=") == 1);
        CHECK(has(html, "src=\"data:image/png;base64,"));
    }

    TEST_CASE("a dye card shows every amount, and unknown ones as unknown") {
        const std::string html = dye_card_html(full_card());
        CHECK(has(html, "50 ml"));  // 0.5 % on 100 g at 1 %
        CHECK(has(html, "10 ml"));  // 2 % on 20 g at 4 %
        CHECK(has(html, "0.4 g"));
        CHECK(times(html, ">unknown<") == 3);  // the ropes: depth, stock, dry dye
        CHECK(has(html, "Jar before"));
        CHECK(has(html, "no dye is named for 1 painted area"));
    }

    TEST_CASE("all text of a dye card is escaped") {
        const std::string html = dye_card_html(full_card());
        CHECK(has(html, "ropes &amp; &lt;knots&gt;"));
        CHECK_FALSE(has(html, "<knots>"));
        CHECK(has(html, "north wall, &quot;second&quot; row"));
    }

    TEST_CASE("every caution, step and source is on the dye card once") {
        const DyeCard card = full_card();
        const std::string html = dye_card_html(card);
        for (const Caution& caution : card.recipe.cautions)
            CHECK(times(html, html_escape(std::string(caution.words))) == 1);
        for (const DyeStep& step : card.recipe.steps)
            CHECK(times(html, "<b>" + std::string(step.heading) + ".</b>") == 1);
        for (const char* source : {"NIOSH 97-107, 1997", "HSE, Dyes and dyeing", "common practice, no source;"})
            CHECK_MESSAGE(times(html.substr(html.find("<b>Sources</b>")), source) == 1, source);
    }

    TEST_CASE("batch and date are lines to fill in, and no day is written by itself") {
        DyeCard card = full_card();
        card.batch.clear();
        const std::string html = dye_card_html(card);
        CHECK(has(html, "<span>Batch</span><span></span>"));
        CHECK(has(html, "<span>Date</span><span></span>"));
        CHECK(dye_card_html(card) == html);
        CHECK(times(html.substr(html.find("class=\"lines\"")), "<div></div>") > 20);
    }

    TEST_CASE("letters are larger on a card with little on it") {
        DyeCard card = full_card();
        CHECK(has(dye_card_html(card), "class=\"sheet dense\""));
        RecipeRequest small;
        small.fibre = 100.0_g;
        small.dyes = {{"sea", "", DepthOfShade{0.5}, {1.0}}};
        card = {"Sea", "", {}, {}, recipe(small)};
        CHECK(card_lines(card.recipe) == 1);
        CHECK(has(dye_card_html(card), "class=\"sheet roomy\""));
    }

    TEST_CASE("numbers stay with their units at the end of a line") {
        const std::string html = dye_card_html(full_card());
        CHECK(has(html, "85-93&nbsp;\u00b0C"));
        CHECK_FALSE(has(html, "85-93 \u00b0C"));
    }

    TEST_CASE("a dye card promises nothing that dyeing cannot") {
        const std::string html = lower(dye_card_html(full_card()));
        for (const char* promise : {"colourfast", "colorfast", "machine wash", "safe for bab"})
            CHECK_FALSE(has(html, promise));
    }
}
