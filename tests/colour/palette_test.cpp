#include "loopread/colour/palette.h"

#include <doctest/doctest.h>

#include <cmath>
#include <set>
#include <stdexcept>

#include "loopread/base/random.h"
#include "loopread/colour/difference.h"

using namespace loopread;

namespace {

LinearRgb light(const char* hex) {
    return linear_from_srgb8(parsed_hex(hex).value());
}

std::string hex(LinearRgb colour) {
    return hex_text(srgb8_from_linear(colour));
}

/// Four dyed colours in unequal amounts, each scattered as a photo scatters them.
std::vector<WeightedColour> scattered_four(int count) {
    const LinearRgb centres[] = {light("#f3ede0"), light("#1d4f9f"), light("#b8272d"), light("#2c7a3e")};
    Random random(7);
    std::vector<WeightedColour> colours;
    for (int i = 0; i < count; ++i) {
        const int tenth = i % 10;
        const std::size_t which = tenth < 5 ? 0 : tenth < 8 ? 1 : tenth < 9 ? 2 : 3;
        colours.push_back({centres[which] * (1 + 0.05 * random.normal()), 1});
    }
    return colours;
}

void check_well_formed(const std::vector<PaletteColour>& palette) {
    double whole = 0;
    std::set<std::string> words;
    for (std::size_t i = 0; i < palette.size(); ++i) {
        whole += palette[i].share;
        words.insert(palette[i].words);
        if (i > 0) CHECK(palette[i - 1].share >= palette[i].share);
        for (std::size_t j = 0; j < i; ++j)
            CHECK(delta_e_2000(lab_from_linear(palette[i].colour), lab_from_linear(palette[j].colour)) >= 5);
    }
    CHECK(whole == doctest::Approx(1).epsilon(1e-12));
    CHECK(words.size() == palette.size());
}

}  // namespace

TEST_SUITE("colour") {
    TEST_CASE("a design of a few flat colours gives just these, biggest first") {
        const std::vector<WeightedColour> colours = {
            {light("#1d4f9f"), 20}, {light("#f3ede0"), 50}, {light("#b8272d"), 10}, {light("#f3ede0"), 20}};
        const std::vector<PaletteColour> palette = palette_of(colours, 8, 1);
        REQUIRE(palette.size() == 3);
        CHECK(hex(palette[0].colour) == "#f3ede0");
        CHECK(hex(palette[1].colour) == "#1d4f9f");
        CHECK(hex(palette[2].colour) == "#b8272d");
        CHECK(palette[0].share == doctest::Approx(0.7).epsilon(1e-12));
        CHECK(palette[1].share == doctest::Approx(0.2).epsilon(1e-12));
        CHECK(palette[2].share == doctest::Approx(0.1).epsilon(1e-12));
        CHECK(palette[0].words == "off-white");
        CHECK(palette[1].words == "blue");
        check_well_formed(palette);
    }

    TEST_CASE("scattered colours come back as their middles and shares") {
        const std::vector<PaletteColour> palette = palette_of(scattered_four(20'000), 4, 1);
        REQUIRE(palette.size() == 4);
        const char* expected[] = {"#f3ede0", "#1d4f9f"};  // the two ends of the order are a tie of 10 % each
        const double shares[] = {0.5, 0.3, 0.1, 0.1};
        constexpr double kSampling = 0.01;  // a few of 20,000 fall to a neighbour
        for (std::size_t i = 0; i < 4; ++i) CHECK(std::abs(palette[i].share - shares[i]) < kSampling);
        for (std::size_t i = 0; i < 2; ++i)
            CHECK(delta_e_2000(lab_from_linear(palette[i].colour), lab_from_linear(light(expected[i]))) < 1);
        check_well_formed(palette);
    }

    TEST_CASE("what looks alike is one entry, whatever number was asked for") {
        std::vector<WeightedColour> colours;
        for (int i = 0; i < 10; ++i) colours.push_back({light("#1d4f9f") * (1 + 0.01 * i), 1});
        CHECK(palette_of(colours, 6, 1).size() == 1);
        check_well_formed(palette_of(scattered_four(5000), 30, 1));
    }

    TEST_CASE("the colour is the mean in light, not in codes") {
        const std::vector<WeightedColour> colours = {{light("#000000"), 1}, {light("#ffffff"), 1}};
        const std::vector<PaletteColour> palette = palette_of(colours, 1, 1);
        REQUIRE(palette.size() == 1);
        CHECK(palette[0].colour.g == doctest::Approx(0.5).epsilon(1e-12));
    }

    TEST_CASE("equal shares go lighter first") {
        const std::vector<WeightedColour> colours = {
            {light("#2c7a3e"), 1}, {light("#f3ede0"), 1}, {light("#1d4f9f"), 1}};
        const std::vector<PaletteColour> palette = palette_of(colours, 3, 1);
        REQUIRE(palette.size() == 3);
        CHECK(hex(palette[0].colour) == "#f3ede0");
        CHECK(hex(palette[1].colour) == "#2c7a3e");
        CHECK(hex(palette[2].colour) == "#1d4f9f");
    }

    TEST_CASE("two colours of one name are told apart by number") {
        const std::vector<WeightedColour> colours = {{light("#1d4f9f"), 2}, {light("#3f7fd0"), 1}};
        const std::vector<PaletteColour> palette = palette_of(colours, 4, 1);
        REQUIRE(palette.size() == 2);
        CHECK(palette[0].words == "blue");
        CHECK(palette[1].words == "blue 2");
    }

    TEST_CASE("the same seed gives the same palette to the last bit") {
        const std::vector<WeightedColour> colours = scattered_four(3000);
        const std::vector<PaletteColour> once = palette_of(colours, 6, 5), again = palette_of(colours, 6, 5);
        REQUIRE(once.size() == again.size());
        for (std::size_t i = 0; i < once.size(); ++i) {
            CHECK(once[i].colour == again[i].colour);
            CHECK(once[i].share == again[i].share);
            CHECK(once[i].words == again[i].words);
        }
    }

    TEST_CASE("the nearest entry is the nearest in OKLab, the lower of two equal ones") {
        const std::vector<PaletteColour> palette = {
            {light("#f3ede0"), 0.5, "a"}, {light("#1d4f9f"), 0.3, "b"}, {light("#1d4f9f"), 0.2, "c"}};
        CHECK(nearest_in(palette, light("#ffffff")) == 0);
        CHECK(nearest_in(palette, light("#000080")) == 1);
        CHECK_THROWS_AS(nearest_in({}, light("#000080")), std::logic_error);
    }

    TEST_CASE("no colours, no weight and no entries are broken contracts") {
        const std::vector<WeightedColour> one = {{light("#1d4f9f"), 1}}, weightless = {{light("#1d4f9f"), 0}};
        CHECK_THROWS_AS(palette_of({}, 3, 1), std::logic_error);
        CHECK_THROWS_AS(palette_of(one, 0, 1), std::logic_error);
        CHECK_THROWS_AS(palette_of(weightless, 3, 1), std::logic_error);
    }
}
