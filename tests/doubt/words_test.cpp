#include "loopread/doubt/words.h"

#include <doctest/doctest.h>

#include <stdexcept>
#include <string>

#include "base/words_in.h"

using namespace loopread;

namespace {

/// Of a hundred draws so many stripes, the others short dashes.
HowSure striped(int draws) {
    HowSure sure;
    sure.draws = 100;
    sure.kinds = {{"stripes", draws}};
    if (draws < 100) sure.kinds.push_back({"dashes", 100 - draws});
    sure.kind_in_use = "stripes";
    sure.verdict_moved_by = {{Unmeasured::yarn, 0.5}, {Unmeasured::wrap, 0.1}};
    return sure;
}

HowSure risked(int clear, double least, double most) {
    HowSure sure = striped(100);
    sure.risk.emplace();
    sure.risk->clear = clear;
    sure.risk->asked = {least, (least + most) / 2, most};
    sure.risk_moved_by = {{Unmeasured::wrap, 0.5}, {Unmeasured::yarn, 0.1}};
    return sure;
}

std::string named(Unmeasured what) {
    return what == Unmeasured::yarn ? "the yarn, which can be measured" : "the wrap, which can be looked up";
}
std::string unknowable(Unmeasured) {
    return "";
}

}  // namespace

TEST_SUITE("doubt") {
    TEST_CASE("the look is sure from 95 trials of 100 that agree, fairly sure from 80, else not") {
        const auto words = [](int draws) { return look_sureness(striped(draws), named); };
        CHECK(words(100) ==
              "The look: sure. It is stripes in all 100 trials with other guesses at what was not measured.");
        CHECK(has(words(95), "The look: sure. It is stripes in 95 of 100 trials"));
        CHECK(has(words(94), "The look: fairly sure."));
        CHECK(has(words(80), "The look: fairly sure."));
        CHECK(has(words(79), "The look: not sure."));
        CHECK(has(words(79), ", short dashes in 21."));
    }

    TEST_CASE("what decides is said only where the look is not sure, and only if it can be found out") {
        CHECK(!has(look_sureness(striped(95), named), "depends"));
        CHECK(has(look_sureness(striped(94), named), ". Most depends on the yarn, which can be measured."));
        const std::string silent = look_sureness(striped(60), unknowable);
        CHECK(!has(silent, "depends"));
        CHECK(!has(silent, "decides"));
        CHECK(silent.back() == '.');
        HowSure none = striped(60);
        none.verdict_moved_by = {{Unmeasured::yarn, 0.3}, {Unmeasured::wrap, 0.2}};
        CHECK(has(look_sureness(none, named), " No single figure decides."));
    }

    TEST_CASE("where most trials differ from the figures in use, what those give is said too") {
        HowSure sure = striped(70);
        sure.kind_in_use = "dashes";
        CHECK(has(look_sureness(sure, named), "With the figures used here it is short dashes."));
        CHECK(!has(look_sureness(striped(70), named), "With the figures used here"));
    }

    TEST_CASE("trials that are clear speak for a clear round, and against one at risk") {
        const HowSure sure = risked(97, 0.02, 0.3);
        CHECK(risk_holds(sure, 0.05));
        CHECK(!risk_holds(sure, 0.5));
        CHECK(has(risk_sureness(sure, 0.05, named), "Pools: sure. Your round stays clear of them in 97 of 100 trials"));
        CHECK(
            has(risk_sureness(sure, 0.5, named), "Pools: not sure. Your round is at risk of them in 3 of 100 trials"));
        CHECK(has(risk_sureness(sure, 0.05, named), "in nine trials of ten, 2 to 30 of 100 knitters would see them."));
        CHECK(!has(risk_sureness(sure, 0.05, named), "depends"));
        CHECK(has(risk_sureness(sure, 0.5, named), "Most depends on the wrap, which can be looked up."));
        CHECK(has(risk_sureness(risked(100, 0, 0.001), 0, named), "none of 100 knitters would see them."));
        CHECK_THROWS_AS(risk_sureness(striped(100), 0, named), std::logic_error);
    }

    TEST_CASE("where weak pools are the look of a clear round, it is clear of marked ones") {
        HowSure sure = risked(100, 0, 0.05);
        sure.kind_in_use = "pools";
        CHECK(risk_sureness(sure, 0, named).starts_with("Marked pools: sure. Your round stays clear of them"));
        CHECK(risk_sureness(sure, 0.5, named).starts_with("Pools: not sure. Your round is at risk of them"));
    }

    TEST_CASE("what was drawn names the dye and the strands, each only if it was") {
        Ranges ranges;
        CHECK(drawn_in_words(ranges, false).empty());
        CHECK(drawn_in_words(ranges, true) == "how the strands lie was");
        ranges[Unmeasured::penetration] = stated_range(Unmeasured::penetration, 0.4);
        CHECK(drawn_in_words(ranges, false) == "how far the dye went was");
        CHECK(drawn_in_words(ranges, true) == "how far the dye went and how the strands lie were");
    }
}
