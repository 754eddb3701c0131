#include "loopread/dye/recipe.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <string>
#include <vector>

#include "base/words_in.h"
#include "loopread/base/error.h"
#include "loopread/dye/words.h"

using namespace loopread;

namespace {

RecipeRequest two_dyes() {
    RecipeRequest request;
    request.fibre = 100.0_g;
    request.dyes = {{"blue-1", "", DepthOfShade{0.4}, {1.0}}, {"black", "", DepthOfShade{2}, {2.0}}};
    return request;
}

/// A ground dyed in the bath and two painted areas; 20 and 10 g of the yarn take their dye.
RecipeRequest painted() {
    RecipeRequest request;
    request.fibre = 100.0_g;
    request.places = {{"lamps", 1, 0.3, 0.2}, {"ropes", 0.5, 0.15, 0.1}};
    request.dyes = {{"sea", "", DepthOfShade{0.5}, {1.0}}, {"lamps", "lamps", DepthOfShade{2}, {4.0}}};
    return request;
}

std::string refusal(const RecipeRequest& request) {
    try {
        recipe(request);
    } catch (const Error& fault) {
        return fault.kind() == ErrorKind::usage ? fault.what() : "of another kind";
    }
    return "not refused";
}

bool any_has(const std::vector<std::string>& texts, const std::string& words) {
    return std::any_of(texts.begin(), texts.end(), [&](const std::string& text) { return has(text, words); });
}

std::string all_words(const Recipe& made) {
    std::string all = total_words(made) + bath_words(made);
    for (const DyeStep& step : made.steps) all += step.words + std::string(step.source) + std::string(step.heading);
    for (const Caution& caution : made.cautions) all += in_words(caution);
    for (const std::string& words : made.warnings) all += words;
    return all;
}

}  // namespace

TEST_SUITE("dye") {
    TEST_CASE("dyes of a mixture are worked out one by one and add up") {
        const Recipe made = recipe(two_dyes());
        CHECK(made.dyes[0].stock->value == doctest::Approx(40));
        CHECK(made.dyes[0].dye->value == doctest::Approx(0.4));
        CHECK(made.dyes[1].stock->value == doctest::Approx(100));
        CHECK(made.dyes[1].dye->value == doctest::Approx(2));
        CHECK(made.total->value == doctest::Approx(2.4));
        CHECK(made.bath.value == doctest::Approx(3000));
    }

    TEST_CASE("an amount nobody knows stays unknown, and so does the total") {
        RecipeRequest request = two_dyes();
        request.dyes[1].depth.reset();
        const Recipe made = recipe(request);
        CHECK_FALSE(made.dyes[1].depth);
        CHECK_FALSE(made.dyes[1].stock);
        CHECK_FALSE(made.dyes[1].dye);
        CHECK_FALSE(made.total);
        CHECK(made.known_total.value == doctest::Approx(0.4));
        CHECK(has(total_words(made), "unknown in all"));
    }

    TEST_CASE("a painted area takes dye for the yarn it dyes, thinned by its strength") {
        RecipeRequest request = painted();
        request.dyes.push_back({"ropes", "ropes", DepthOfShade{3}, {1.0}});
        const Recipe made = recipe(request);
        CHECK(made.dyes[0].fibre.value == doctest::Approx(100));
        CHECK(made.dyes[1].fibre.value == doctest::Approx(20));
        CHECK(made.dyes[1].stock->value == doctest::Approx(20 * 2 / 4.0));
        CHECK(made.dyes[2].depth->value == doctest::Approx(1.5));  // half strength
        CHECK(made.dyes[2].dye->value == doctest::Approx(0.15));
        CHECK(made.total->value == doctest::Approx(0.5 + 0.4 + 0.15));
    }

    TEST_CASE("what went in is told as a depth beside the one that was planned") {
        RecipeRequest request = two_dyes();
        request.used = {{"blue-1", "", Millilitres{5}, {1.0}}, {"grey", "", {}, {1.0}}};
        const Recipe made = recipe(request);
        CHECK(made.used[0].depth->value == doctest::Approx(0.05));  // 5 ml of 1 % hold 0.05 g, on 100 g
        CHECK(made.used[0].planned->value == doctest::Approx(0.4));
        CHECK_FALSE(made.used[1].depth);
        CHECK_FALSE(made.used[1].planned);
    }

    TEST_CASE("a jar that was weighed tells the depth, one that was not tells nothing") {
        RecipeRequest request = painted();
        request.dyes.clear();
        request.pastes = {{"lamps", {2.0}, WeighedJar{250.0_g, 236.0_g}}, {"ropes", {2.0}, {}}};
        const Recipe made = recipe(request);
        CHECK(made.pastes[0].pick_up->value == doctest::Approx(0.7));  // 14 g on 20 g
        CHECK(made.pastes[0].depth->value == doctest::Approx(1.4));
        CHECK(made.pastes[0].dye->value == doctest::Approx(0.28));
        CHECK_FALSE(made.pastes[1].depth);
        CHECK_FALSE(made.total);
    }

    TEST_CASE("paste to make holds the dye that was asked for") {
        RecipeRequest request = painted();
        request.pastes = {{"lamps", {2.0}, {}}};
        const Recipe made = recipe(request);
        const PasteAmount& paste = made.pastes.front();
        CHECK(paste.to_make->value == doctest::Approx(20));  // 0.4 g at 2 g in 100 ml
        CHECK(paste.from_stock->value == doctest::Approx(10));
        CHECK(paste.plain->value == doctest::Approx(10));
        CHECK(dye_in(*paste.from_stock, {4.0}).value == doctest::Approx(0.4));
        CHECK_FALSE(paste.from_powder);
    }

    TEST_CASE("paste for an area of no stated depth is no more than it holds, and its depth stays unknown") {
        RecipeRequest request = painted();
        request.pastes = {{"ropes", {2.0}, {}}};
        const Recipe made = recipe(request);
        const PasteAmount& paste = made.pastes.front();
        CHECK(paste.make == PasteAmount::Make::as_held);
        CHECK(paste.to_make->value == doctest::Approx(10));       // 10 g of yarn
        CHECK(paste.from_powder->value == doctest::Approx(0.1));  // of half strength: 1 g in 100 ml
        CHECK(in_words(*paste.thinned) == "1 part paste to 1 part plain paste");
        CHECK_FALSE(paste.depth);
        CHECK_FALSE(made.total);
        CHECK(any_has(paste_words(paste, Units::metric), "at most 10 ml of paste"));
    }

    TEST_CASE("stock too weak to be thickened is passed over for weighed powder") {
        RecipeRequest request = painted();
        request.dyes[1].stock = {1.0};
        request.pastes = {{"lamps", {2.5}, {}}};
        const Recipe made = recipe(request);
        CHECK(made.pastes.front().from_powder->value == doctest::Approx(0.4));
        CHECK_FALSE(made.pastes.front().from_stock);
        CHECK(any_has(made.assumed, "a stock of 5 % would do"));
    }

    TEST_CASE("more liquid than an area can hold is warned of, with the strength that fits") {
        RecipeRequest request = painted();
        request.dyes[1].stock = {1.0};  // 40 ml on 20 g
        const Recipe made = recipe(request);
        CHECK(any_has(made.warnings, "lamps: 40 ml of stock is more than its 20 g of yarn hold"));
        CHECK(any_has(made.warnings, "at least 2 %"));
        CHECK(any_has(made.warnings, "common practice, no source"));
        request.dyes[1].stock = {2.0};  // 20 ml
        CHECK_FALSE(any_has(recipe(request).warnings, "hold"));
        request.pastes = {{"lamps", {1.0}, {}}};  // 40 ml of paste
        CHECK(any_has(recipe(request).warnings, "40 ml of paste is more"));
    }

    TEST_CASE("over 8 percent of dye on the fibre is refused unless it is allowed") {
        RecipeRequest request = two_dyes();
        request.dyes[1].depth = DepthOfShade{7.7};
        CHECK(has(refusal(request), "8.1 % of dye"));
        request.dyes[1].depth = DepthOfShade{7.6};
        CHECK(recipe(request).total->value == doctest::Approx(8));
        request.dyes[1].depth = DepthOfShade{20};
        request.deep = RecipeRequest::Deep::allowed;
        CHECK(recipe(request).total->value == doctest::Approx(20.4));
        CHECK(any_has(recipe(request).warnings, "more than deep shades take"));
    }

    TEST_CASE("an area on the bath counts together with it") {
        RecipeRequest request = painted();
        request.dyes[1].depth = DepthOfShade{7.6};  // 1.52 + 0.5 % of all the fibre, but 8.1 % where it lies
        CHECK(has(refusal(request), "8.1 % of dye"));
    }

    TEST_CASE("stock so thin that endless amounts of it would be told is refused") {
        for (const double thin : {1e-308, 1e-9, 0.00099}) {
            CAPTURE(thin);
            RecipeRequest request = two_dyes();
            request.dyes[0].stock = {thin};
            CHECK(has(refusal(request), "holds no dye"));
        }
        RecipeRequest request = two_dyes();
        request.dyes[0].stock = {0.001};
        CHECK(refusal(request) == "not refused");
    }

    TEST_CASE("what cannot be is refused, and named") {
        RecipeRequest request = two_dyes();
        request.dyes[1].name = "blue-1";
        CHECK(has(refusal(request), "'blue-1' is named twice"));
        request = two_dyes();
        request.dyes[0].stock = {0.0};
        CHECK(has(refusal(request), "0 % holds no dye"));
        request = two_dyes();
        request.dyes[0].stock = {60.0};
        CHECK(has(refusal(request), "does not dissolve"));
        request = two_dyes();
        request.used = {{"a", "", Millilitres{1}, {1.0}}, {"a", "", Millilitres{2}, {1.0}}};
        CHECK(has(refusal(request), "--used: 'a' is named twice"));
        request = painted();
        request.pastes = {{"lamps", {2.0}, WeighedJar{180.0_g, 250.0_g}}};
        CHECK(has(refusal(request), "heavier after"));
        request = two_dyes();
        request.strengths = {1, 1.5};
        CHECK(has(refusal(request), "1.5 is not over 0 and up to 1"));
        request = two_dyes();
        request.ratio = 0;
        CHECK(has(refusal(request), "--ratio"));
        request = two_dyes();
        request.acid = {AcidKind::vinegar, 80.0};
        CHECK(has(refusal(request), "concentrated acetic acid"));
    }

    TEST_CASE("acid, heat and time are given for acid dyes only, the arithmetic for all") {
        for (const DyeClass other : {DyeClass::reactive, DyeClass::metal_complex}) {
            RecipeRequest request = two_dyes();
            request.dye_class = other;
            const Recipe made = recipe(request);
            CHECK_FALSE(made.acid);
            CHECK(made.total->value == doctest::Approx(2.4));
            CHECK(any_has(made.warnings, "maker's sheet"));
            for (const DyeStep& step : made.steps) CHECK_FALSE(has(step.words, "\u00b0C"));
        }
        CHECK(recipe(two_dyes()).acid);
    }

    TEST_CASE("temperatures and times are those of the sources") {
        // dyeing 85-93 C for 30 minutes, 30-40 minutes; from 38 C, cooled to 71 C; shrink-resist wool to 90 C
        // [Cookson 1964, abstract]; steaming 45 minutes, 30 common practice
        RecipeRequest request = painted();
        std::string all = all_words(recipe(request));
        for (const char* figure : {"85-93 \u00b0C", "38 \u00b0C", "71 \u00b0C", "90 \u00b0C", "30-40 minutes",
                                   "45 minutes", "30 at the least"})
            CHECK_MESSAGE(has(all, figure), figure);
        request.units = Units::us;
        CHECK(has(all_words(recipe(request)), "185-199 \u00b0F"));
    }

    TEST_CASE("every step and every band says where it is from") {
        const Recipe made = recipe(painted());
        CHECK(made.steps.size() >= 8);
        for (const DyeStep& step : made.steps) CHECK_FALSE(step.source.empty());
        for (const PublishedBand& band : liquor_ratios()) CHECK_FALSE(band.source.empty());
        CHECK_FALSE(made.acid->source.empty());
        for (const Caution& caution : made.cautions) CHECK_FALSE(caution.source.empty());
    }

    TEST_CASE("a bath beyond what is published is warned of") {
        // 8-20 : 1 in works [US 5925149], 20, 30-50, 40 : 1
        RecipeRequest request = two_dyes();
        CHECK_FALSE(any_has(recipe(request).warnings, "outside"));
        request.ratio = 60;
        CHECK(any_has(recipe(request).warnings, "outside what is published (8 to 50)"));
        request.ratio = 7;
        CHECK(any_has(recipe(request).warnings, "outside"));
    }

    TEST_CASE("the cautions name every danger that was asked for") {
        std::string all;
        for (const Caution& caution : cautions()) all += in_words(caution) + "\n";
        for (const char* word : {"sensitiser",
                                 "dust mask",
                                 "gloves",
                                 "moves away from you",
                                 "wipe up wet",
                                 "never with shaken powder",
                                 "gum plain and cool",
                                 "never for food again",
                                 "tongs",
                                 "away from your face",
                                 "never runs dry",
                                 "cooled before it is opened",
                                 "no pressure cooker",
                                 "microwave",
                                 "Acid into water",
                                 "bleach",
                                 "Label and date",
                                 "children and pets",
                                 "local rules",
                                 "safety data sheet",
                                 "licensed practice"})
            CHECK_MESSAGE(has(all, word), word);
        // treatments of dye powder: [NIOSH 97-107]
        CHECK(has(all, "NIOSH 97-107"));
        CHECK(cautions(DyeClass::reactive).size() == cautions().size() + 1);
        CHECK(cautions(DyeClass::metal_complex).size() == cautions().size() + 1);
    }

    TEST_CASE("cautions for the head of a file are comments, every line of them") {
        const std::string text = caution_comments();
        CHECK(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) == cautions().size());
        for (std::size_t from = 0; from < text.size(); from = text.find('\n', from) + 1) CHECK(text[from] == '#');
    }

    TEST_CASE("no word of a recipe promises what dyeing cannot") {
        for (const DyeClass one : {DyeClass::acid, DyeClass::metal_complex, DyeClass::reactive}) {
            RecipeRequest request = painted();
            request.dye_class = one;
            request.pastes = {{"lamps", {2.0}, WeighedJar{250.0_g, 180.0_g}}};
            std::string all = all_words(recipe(request)) + caution_comments(one);
            std::transform(all.begin(), all.end(), all.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
            for (const char* promise : {"colourfast", "colorfast", "machine wash", "safe for bab"})
                CHECK_FALSE(has(all, promise));
        }
    }
}
