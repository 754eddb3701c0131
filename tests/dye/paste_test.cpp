#include "loopread/dye/paste.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/dye/acid.h"
#include "loopread/dye/amounts.h"

using namespace loopread;

TEST_SUITE("dye") {
    TEST_CASE("dye on the fibre is paste strength times pick-up") {
        // by hand: 70 g of a paste of 2 g in 100 ml carry 1.4 g of dye, on 50 g of yarn 2.8 %
        const WeighedJar jar{250.0_g, 180.0_g};
        CHECK(jar.used().value == doctest::Approx(70));
        const PickUp taken = pick_up_of(jar.used(), 50.0_g);
        CHECK(taken.value == doctest::Approx(1.4));
        CHECK(paste_depth({2.0}, taken).value == doctest::Approx(2.8));
        CHECK(dye_for(50.0_g, paste_depth({2.0}, taken)).value == doctest::Approx(1.4));
    }

    TEST_CASE("half a teaspoon of guar goes into a cup of paste") {
        // common practice, no source
        const Thickener cup = thickener_for({kMillilitresPerCup}, DyeClass::acid);
        CHECK(cup.name == "guar gum");
        CHECK(cup.powder_spoon.value == doctest::Approx(kMillilitresPerTeaspoon / 2));
        CHECK(std::abs(thickener_for({100.0}, DyeClass::acid).weight->value - 0.6) <
              0.01);  // about 0.6 % of its volume
        CHECK(thickener_for({3 * kMillilitresPerCup}, DyeClass::acid).powder_spoon.value ==
              doctest::Approx(1.5 * kMillilitresPerTeaspoon));
    }

    TEST_CASE("reactive dyes are thickened with alginate, never with guar") {
        // a dye supplier's questions and answers: a teaspoon of alginate to 2 cups; guar reacts with those dyes
        const Thickener two_cups = thickener_for({2 * kMillilitresPerCup}, DyeClass::reactive);
        CHECK(two_cups.name == "sodium alginate");
        CHECK(two_cups.powder_spoon.value == doctest::Approx(kMillilitresPerTeaspoon));
    }

    TEST_CASE("paler steps are told in the smallest whole parts of plain paste") {
        CHECK(in_words(paste_step(1)) == "paste as it is");
        CHECK(in_words(paste_step(0.5)) == "1 part paste to 1 part plain paste");
        CHECK(in_words(paste_step(0.25)) == "1 part paste to 3 parts plain paste");
        CHECK(in_words(paste_step(2.0 / 3)) == "2 parts paste to 1 part plain paste");
        CHECK(in_words(paste_step(0.333)) == "1 part paste to 2 parts plain paste");
        CHECK(in_words(paste_step(0.6)) == "3 parts paste to 2 parts plain paste");
        CHECK(in_words(paste_step(0.01)) == "1 part paste to 99 parts plain paste");
    }

    TEST_CASE("a paste too pale to colour anything is plain paste, and never one part to endless parts") {
        for (const double pale : {5e-324, 1e-320, 1e-9, 0.00099}) {
            CAPTURE(pale);
            CHECK(std::isfinite(paste_step(pale).plain_parts));
            CHECK(in_words(paste_step(pale)).starts_with("plain paste alone"));
        }
        CHECK(in_words(paste_step(0.001)) == "1 part paste to 999 parts plain paste");
    }

    TEST_CASE("parts of paste make the strength they are for") {
        for (double strength = 0.01; strength <= 1; strength += 0.0137) {
            const PasteStep step = paste_step(strength);
            CHECK(step.paste_parts / (step.paste_parts + step.plain_parts) == doctest::Approx(strength).epsilon(0.02));
        }
    }

    TEST_CASE("a quarter of a cup to a cup of vinegar to a pound is 13 to 52 ml on 100 g") {
        // two acid dye instruction sheets; 0.65 to 2.6 % of acetic acid at 5 %
        const AcidAmount acid = acid_for(100.0_g, {AcidKind::vinegar, 5.0}, DepthOfShade{2.4});
        constexpr double kWholeMl = 0.5;
        CHECK(std::abs(acid.least_ml->value - 13) < kWholeMl);
        CHECK(std::abs(acid.most_ml->value - 52) < kWholeMl);
        CHECK(std::abs(acid.least_owf_pct - 0.65) < 0.005);
        CHECK(std::abs(acid.most_owf_pct - 2.6) < 0.05);
        CHECK(acid.usual_owf_pct == 1);  // a textile text: milling dyes, about 1 % of acetic acid
        CHECK(acid.usual_ml->value == doctest::Approx(20));
        const AcidAmount pound = acid_for({kGramsPerPound}, {AcidKind::vinegar, 5.0}, {});
        CHECK(pound.least_ml->value == doctest::Approx(kMillilitresPerCup / 4));
        CHECK(pound.most_ml->value == doctest::Approx(kMillilitresPerCup));
    }

    TEST_CASE("weaker vinegar is poured more of, for the same acid") {
        const AcidAmount weak = acid_for(100.0_g, {AcidKind::vinegar, 4.0}, {});
        const AcidAmount strong = acid_for(100.0_g, {AcidKind::vinegar, 6.0}, {});
        CHECK(weak.usual.value == strong.usual.value);
        CHECK(weak.usual_ml->value / strong.usual_ml->value == doctest::Approx(1.5));
        CHECK(acid_for(100.0_g, {AcidKind::vinegar, {}}, {}).acid.strength_pct == 5.0);
    }

    TEST_CASE("citric acid goes by the depth of shade: 1, 1.5 and 2 percent") {
        // a supplier's note: light, medium and strong shades
        CHECK(acid_for(100.0_g, {AcidKind::citric, {}}, DepthOfShade{0.5}).usual.value == doctest::Approx(1));
        CHECK(acid_for(100.0_g, {AcidKind::citric, {}}, DepthOfShade{1}).usual.value == doctest::Approx(1.5));
        CHECK(acid_for(100.0_g, {AcidKind::citric, {}}, DepthOfShade{2}).usual.value == doctest::Approx(2));
        CHECK_FALSE(acid_for(100.0_g, {AcidKind::citric, {}}, DepthOfShade{2}).usual_ml);
        CHECK(acid_for(100.0_g, {AcidKind::citric, 10.0}, DepthOfShade{2}).usual_ml->value == doctest::Approx(20));
    }

    TEST_CASE("acid that is no vinegar is refused") {
        // vinegar holds at least 4 g of acetic acid in 100 ml [FDA CPG 525.825]
        for (const double strength : {80.0, 28.0, 6.1, 3.9, 0.0})
            CHECK_THROWS(acid_for(100.0_g, {AcidKind::vinegar, strength}, {}));
        for (const double strength : {4.0, 5.0, 6.0})
            CHECK_NOTHROW(acid_for(100.0_g, {AcidKind::vinegar, strength}, {}));
        CHECK_THROWS(acid_for(100.0_g, {AcidKind::citric, 50.0}, {}));
        CHECK_THROWS(acid_for(100.0_g, {AcidKind::citric, 0.0}, {}));
    }
}
