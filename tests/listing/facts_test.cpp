#include "loopread/listing/facts.h"

#include <doctest/doctest.h>

#include <string>

#include "base/words_in.h"

using namespace loopread;

namespace {

ListingFacts usual_facts() {
    ListingFacts facts;
    facts.title = "Lanterns";
    facts.counts_measured = facts.size_measured = facts.length_measured = true;
    facts.strand_weight = {Grams{50}, true};
    facts.ravel_edge = "at the top";
    facts.colours = {{{0.1, 0.2, 0.3}, "#5a7c95", "mid blue", "Harbour", 0.7},
                     {{0.6, 0.1, 0.1}, "#cb595b", "red", "red", 0.3}};
    facts.rounds = {{56, 735, "stripes", "Stripes of 3 rounds.", 0.10},
                    {60, 787, "stripes", "Stripes of 2.5 rounds.", 0.20},
                    {64, 840, "pools", "Pools.", 0.61},
                    {68, 892, "", "", 0},
                    {72, 945, "pools", "Other pools.", 0.40}};
    facts.knitters = 100;
    facts.pair = PairRange{2, 4};
    facts.fibre = parsed_fibre("wool 75, nylon 25");
    facts.pictures = {{"01-painted-side.jpg", "The painted side.", false}, {"05-skein.jpg", "A skein.", true}};
    return facts;
}

}  // namespace

TEST_SUITE("listing") {
    // International yard and pound agreement, 1959: 1 yd = 0.9144 m exactly.
    TEST_CASE("a yard is 0.9144 m") {
        constexpr double kClosedForm = 1e-12;
        CHECK(yards(Millimetres{914.4}) == doctest::Approx(1).epsilon(kClosedForm));
        CHECK(yards(Millimetres{211000}) == doctest::Approx(230.752405949256).epsilon(kClosedForm));
        CHECK(yarn_in_words(usual_facts()) == "2 strands of 211 m, 231 yd, 50 g each");
    }

    TEST_CASE("neighbouring counts of one kind become one line and a gap parts them") {
        const std::vector<RoundsAlike> groups = rounds_alike(usual_facts().rounds);
        REQUIRE(groups.size() == 3);
        CHECK(groups[0].stitches == std::vector<int>{56, 60});
        CHECK(groups[0].from_mm == 735);
        CHECK(groups[0].to_mm == 787);
        CHECK(groups[0].pool_risks == std::vector<double>{0.10, 0.20});
        CHECK(groups[1].stitches == std::vector<int>{64});
        CHECK(groups[2].stitches == std::vector<int>{72});
        CHECK(groups[2].sentence == "Other pools.");
        CHECK(rounds_alike({}).empty());
    }

    TEST_CASE("the text tells what a buyer has to know") {
        const std::string text = listing_text(usual_facts());
        for (const char* words :
             {"2 strands of 211 m, 231 yd, 50 g each", "24 x 86 cm", "46 stitches across, 214 rows",
              "75 % wool, 25 % nylon", "- Harbour, 70 % (#5a7c95, mid blue)", "- red, 30 % (#cb595b)",
              "74 to 79 cm of yarn in a round (56 and 60 stitches): Stripes of 2.5 rounds. Of 100 simulated knitters "
              "10 would "
              "see pools at 56 stitches, 20 at 60.",
              "no twins", "The edge at the top of picture 01 comes apart",
              "The first wash may release colour: wash alone, cool.", "Screens differ", "cannot be repeated exactly",
              "computed from the dyed blank", "01-painted-side.jpg (photograph)", "05-skein.jpg (computed)",
              "Your local law decides."}) {
            CAPTURE(words);
            CHECK(has(text, words));
        }
    }

    TEST_CASE("nothing is promised that nobody tested") {
        for (const Offer offer : {Offer::whole, Offer::ravelled, Offer::both}) {
            ListingFacts facts = usual_facts();
            facts.offer = offer;
            for (const char* claim :
                 {"colourfast", "colorfast", "machine wash", "safe for", "babies", "hypoallergenic"})
                CHECK_FALSE(has(listing_text(facts), claim));
        }
    }

    TEST_CASE("a figure that nobody measured says so and one that was does not") {
        CHECK_FALSE(has(yarn_in_words(usual_facts()), "not measured"));
        CHECK_FALSE(has(blank_in_words(usual_facts()), "not measured"));
        ListingFacts facts = usual_facts();
        facts.length_measured = false;
        CHECK(has(yarn_in_words(facts), "231 yd (not measured), 50 g"));
        facts.strand_weight.measured = false;
        CHECK(has(yarn_in_words(facts), "50 g (not measured)"));
        facts.counts_measured = false;
        CHECK(has(blank_in_words(facts), "24 x 86 cm, 46 stitches across, 214 rows (not measured)"));
    }

    TEST_CASE("one strand makes no promise of a pair") {
        ListingFacts facts = usual_facts();
        facts.layout.strands = 1;
        facts.pair.reset();
        CHECK(has(socks_in_words(facts), "not measured"));
        CHECK(has(listing_text(facts), "1 strand of "));
    }

    TEST_CASE("whether the balls are identical rests on how far the dye went") {
        ListingFacts facts = usual_facts();
        CHECK(has(socks_in_words(facts), "not measured"));
        facts.pair_measured = true;
        CHECK_FALSE(has(socks_in_words(facts), "not measured"));
        facts.pair = PairRange{0.2, 0.4};
        CHECK(has(socks_in_words(facts), "as good as identical"));
    }

    TEST_CASE("each offer is put into words of its own") {
        CHECK(has(offer_in_words(Offer::whole), "ravel it yourself"));
        CHECK_FALSE(has(offer_in_words(Offer::whole), "wound up"));
        CHECK(has(offer_in_words(Offer::ravelled), "wound up"));
        CHECK(has(offer_in_words(Offer::both), "say which"));
    }
}
