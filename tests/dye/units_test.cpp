#include "loopread/dye/units.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "base/words_in.h"
#include "loopread/base/error.h"

using namespace loopread;

namespace {

std::string refusal(auto call) {
    try {
        call();
    } catch (const Error& fault) {
        return fault.kind() == ErrorKind::usage ? fault.what() : "of another kind";
    }
    return "not refused";
}

}  // namespace

TEST_SUITE("dye") {
    TEST_CASE("spoons, cups, ounces and pounds hold what the trade's table says") {
        // trade figures to the digits given there; the exact ones: [NIST HB 44], appendix C (from memory)
        CHECK(std::abs(parsed_volume("1tsp", "x").value - 4.93) < 0.005);
        CHECK(std::abs(parsed_volume("1tbsp", "x").value - 14.79) < 0.005);
        CHECK(std::abs(parsed_volume("1cup", "x").value - 236.6) < 0.05);
        CHECK(std::abs(parsed_weight("1oz", "x").value - 28.35) < 0.005);
        CHECK(std::abs(parsed_weight("1lb", "x").value - 453.6) < 0.05);
        CHECK(kMillilitresPerTablespoon == doctest::Approx(3 * kMillilitresPerTeaspoon).epsilon(1e-14));
        CHECK(kMillilitresPerCup == doctest::Approx(16 * kMillilitresPerTablespoon).epsilon(1e-14));
        CHECK(kGramsPerPound == doctest::Approx(16 * kGramsPerOunce).epsilon(1e-14));
    }

    TEST_CASE("units are told apart, also where one ends as another does") {
        CHECK(parsed_weight("250mg", "x").value == doctest::Approx(0.25));
        CHECK(parsed_weight("1.5 kg", "x").value == doctest::Approx(1500));
        CHECK(parsed_weight("100g", "x").value == doctest::Approx(100));
        CHECK(parsed_volume("5ml", "x").value == doctest::Approx(5));
        CHECK(parsed_volume("1.2l", "x").value == doctest::Approx(1200));
        CHECK(parsed_volume("0ml", "x").value == 0);
        CHECK(parsed_percent("0.4%", "x") == doctest::Approx(0.4));
    }

    TEST_CASE("powder by the spoon is refused with the reason") {
        for (const char* spoon : {"1tsp", "2tbsp", "0.5cup", "3 spoons"}) {
            CAPTURE(spoon);
            CHECK(has(refusal([&] { parsed_weight(spoon, "--fibre"); }), "powder packs"));
        }
    }

    TEST_CASE("what no scale weighs and no dyer means is refused before it is divided by") {
        CHECK(has(refusal([] { parsed_weight("1e-320g", "--fibre"); }), "less than a scale"));
        CHECK(has(refusal([] { parsed_weight("0.09mg", "--fibre"); }), "less than a scale"));
        CHECK(parsed_weight("0.1mg", "--fibre").value == doctest::Approx(0.0001));
        CHECK(has(refusal([] { parsed_percent("1e308%", "--dye"); }), "over 1000 %"));
        CHECK(parsed_percent("1000%", "--dye") == 1000);
    }

    TEST_CASE("bare numbers, nonsense and weights of nothing are refused") {
        CHECK(has(refusal([] { parsed_weight("100", "--fibre"); }), "no unit"));
        CHECK(has(refusal([] { parsed_weight("-3g", "--fibre"); }), "more than 0"));
        CHECK(has(refusal([] { parsed_weight("0g", "--fibre"); }), "more than 0"));
        CHECK(has(refusal([] { parsed_weight("heavy", "--fibre"); }), "not a weight"));
        CHECK(has(refusal([] { parsed_weight("500kg", "--fibre"); }), "check the unit"));
        CHECK(has(refusal([] { parsed_volume("5", "--used"); }), "no unit"));
        CHECK(has(refusal([] { parsed_volume("-5ml", "--used"); }), "less than 0"));
        CHECK(has(refusal([] { parsed_volume("5g", "--used"); }), "not a volume"));
        CHECK(has(refusal([] { parsed_percent("2", "--dye"); }), "no unit"));
        CHECK(has(refusal([] { parsed_percent("-2%", "--dye"); }), "less than 0"));
        CHECK(has(refusal([] { parsed_percent("lots%", "--dye"); }), "not a percentage"));
    }

    TEST_CASE("spoons in words add up to the volume they stand for") {
        CHECK(us_spoons({kMillilitresPerCup / 4}) == "1/4 US cup");
        CHECK(us_spoons({kMillilitresPerCup * 1.25}) == "1 1/4 US cups");
        CHECK(us_spoons({kMillilitresPerCup}) == "1 US cup");
        CHECK(us_spoons({kMillilitresPerCup * 3}) == "3 US cups");
        CHECK(us_spoons({kMillilitresPerTablespoon + kMillilitresPerTeaspoon / 2}) == "1 US tbsp + 1/2 US tsp");
        CHECK(us_spoons({kMillilitresPerTeaspoon / 8}) == "1/8 US tsp");
        CHECK(us_spoons({0.1}) == "under 1/8 US tsp");
        CHECK(us_spoons({kMillilitresPerTablespoon * 3.999}) == "1/4 US cup");  // never 4 tablespoons
    }

    TEST_CASE("US measures are named and stand beside the metric ones, powder stays in grams") {
        CHECK(volume_text({59.147}, Units::metric) == "59.1 ml");
        CHECK(volume_text({59.147}, Units::us) == "59.1 ml (1/4 US cup)");
        CHECK(volume_text({3000}, Units::metric) == "3 l");
        CHECK(fibre_text(100.0_g, Units::us) == "100 g (3.53 oz)");
        CHECK(powder_text({0.15}) == "0.15 g");
        CHECK(temperature_text(Celsius{85}, Units::us) == "85 \u00b0C (185 \u00b0F)");
        CHECK(temperature_text(Celsius{85}, Celsius{93}, Units::metric) == "85-93 \u00b0C");
    }
}
