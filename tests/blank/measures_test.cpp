#include "loopread/blank/measures.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>

#include "loopread/base/error.h"

using namespace loopread;

namespace {

constexpr double kExact = 1e-12;      // relative
constexpr double kHandFigure = 5e-4;  // relative; figures below are written to four digits or more

// A blank as it is sold, two strands of 50 g (common practice, no source).
constexpr CountPair kCounts{46, 214};
constexpr LengthPair kSize{{240}, {860}};
constexpr Millimetres kStrand{211'000};
constexpr Millimetres kLoop{21.4};

bool near(double a, double b, double relative) {
    return std::abs(a - b) <= relative * std::abs(b);
}

bool mentions(const std::string& text, const std::string& word) {
    return text.find(word) != std::string::npos;
}

GivenMeasures all_given() {
    GivenMeasures given;
    given.blank = kCounts;
    given.size = kSize;
    given.strand_length = kStrand;
    given.loop = kLoop;
    return given;
}

struct Combination {
    bool blank, size, strand, loop;
    int stitches, rows;
    double loop_mm, width_mm, length_mm;
};

// By hand: the loop is the measured one, else 211 m / (46 x 214) = 21.434, else sqrt(23.1 w c) [Munden 1959], which
// with only size and strand is 23.1 x 240 x 860 / 211,000 = 22.596, else 21; w = l / 4.2 and c = l / 5.5 [Munden 1959]
// unless the size is given, counts to the nearest whole.
constexpr Combination kCombinations[] = {
    {true, false, false, false, 46, 214, 21.0, 230.0, 817.09},
    {false, true, false, false, 48, 225, 21.0, 240.0, 860.0},
    {true, true, false, false, 46, 214, 22.008, 240.0, 860.0},
    {false, false, true, false, 46, 217, 21.0, 230.0, 828.55},
    {true, false, true, false, 46, 214, 21.434, 234.76, 833.99},
    {false, true, true, false, 45, 209, 22.596, 240.0, 860.0},
    {true, true, true, false, 46, 214, 21.434, 240.0, 860.0},
    {false, false, false, true, 47, 221, 21.4, 239.48, 859.89},
    {true, false, false, true, 46, 214, 21.4, 234.38, 832.65},
    {false, true, false, true, 47, 221, 21.4, 240.0, 860.0},
    {true, true, false, true, 46, 214, 21.4, 240.0, 860.0},
    {false, false, true, true, 46, 215, 21.4, 234.38, 836.55},
    {true, false, true, true, 46, 214, 21.4, 234.38, 832.65},
    {false, true, true, true, 47, 221, 21.4, 240.0, 860.0},
    {true, true, true, true, 46, 214, 21.4, 240.0, 860.0},
};

GivenMeasures given_of(const Combination& combination) {
    GivenMeasures given;
    if (combination.blank) given.blank = kCounts;
    if (combination.size) given.size = kSize;
    if (combination.strand) given.strand_length = kStrand;
    if (combination.loop) given.loop = kLoop;
    return given;
}

}  // namespace

TEST_SUITE("blank") {
    TEST_CASE("a blank of which nothing is known is the usual one, and its figures hold together") {
        const SettledMeasures settled_blank = settled({});
        const BlankLayout& layout = settled_blank.layout;
        // 46 x 214, 24 x 86 cm, 211 m a strand, two strands: common practice, no source.
        CHECK(layout.stitches == 46);
        CHECK(layout.rows == 214);
        CHECK(layout.strands == 2);
        CHECK(near(layout.width().value, 240, kExact));
        CHECK(near(layout.length().value, 860, kExact));
        CHECK(near(layout.strand_length().value, 211'000, kExact));
        CHECK(near(layout.loop_length.value, 21.434, kHandFigure));
        CHECK(settled_blank.assumed.size() == 5);
        CHECK(settled_blank.warnings.empty());
        for (const std::string& line : settled_blank.assumed) CHECK(mentions(line, "not measured"));
    }

    TEST_CASE("the usual blank lies between wet relaxed and fully relaxed fabric") {
        // l = k A / L with k = 21.6 wet relaxed and 23.1 fully relaxed [Munden 1959]: 21.13 and 22.60 mm.
        const double area = 240.0 * 860.0;
        const double loop = settled({}).layout.loop_length.value;
        CHECK(loop > 21.6 * area / 211'000);
        CHECK(loop < 23.1 * area / 211'000);
    }

    TEST_CASE("24 x 86 cm with 211 m a strand gives about 46 x 214 at 21 mm") {
        // Common practice, no source. Fully relaxed it comes to 45 x 209 at 22.6 mm: the trade's figures are those of a
        // wet relaxed blank, whose stitches are 3 % smaller and loops 6.5 % shorter.
        constexpr double kRelaxation = 0.03, kLoopRelaxation = 0.08;
        GivenMeasures given;
        given.size = kSize;
        given.strand_length = kStrand;
        const BlankLayout layout = settled(given).layout;
        CHECK(near(layout.stitches, 46, kRelaxation));
        CHECK(near(layout.rows, 214, kRelaxation));
        CHECK(near(layout.loop_length.value, 21, kLoopRelaxation));
        CHECK(near(layout.strand_length().value, 211'000, 0.01));  // whole stitches and rows
    }

    TEST_CASE("stitches a square centimetre follow from the loop") {
        // Worked example: l = 5 mm gives 5.5 x 4.2 / 0.25 cm2 = 92.4 loops/cm2 [Munden 1959] (an examination's figure).
        GivenMeasures given;
        given.loop = Millimetres{5.0};
        const BlankLayout layout = settled(given).layout;
        CHECK(near(100 / (layout.wale_spacing.value * layout.course_spacing.value), 92.4, kExact));
    }

    TEST_CASE("whatever is given, the rest follows from it in the order of trust") {
        for (const Combination& expected : kCombinations) {
            const SettledMeasures result = settled(given_of(expected));
            const BlankLayout& layout = result.layout;
            CAPTURE(expected.blank);
            CAPTURE(expected.size);
            CAPTURE(expected.strand);
            CAPTURE(expected.loop);
            CHECK(layout.stitches == expected.stitches);
            CHECK(layout.rows == expected.rows);
            CHECK(near(layout.loop_length.value, expected.loop_mm, kHandFigure));
            CHECK(near(layout.width().value, expected.width_mm, kHandFigure));
            CHECK(near(layout.length().value, expected.length_mm, kHandFigure));
            if (expected.strand) CHECK(near(layout.strand_length().value, kStrand.value, 0.10));
            CHECK(result.warnings.empty());
            const int measured = expected.blank + expected.size + expected.strand + expected.loop;
            CHECK(result.assumed.size() == static_cast<std::size_t>(5 - measured));  // the strands are assumed, too
        }
    }

    TEST_CASE("a tube's round lies in two layers") {
        GivenMeasures given;
        given.construction = Construction::tube;
        given.size = kSize;
        given.strand_length = Millimetres{2 * kStrand.value};
        const BlankLayout twice = settled(given).layout;
        given.construction = Construction::flat;
        given.strand_length = kStrand;
        const BlankLayout once = settled(given).layout;
        CHECK(twice.stitches == 2 * once.stitches);
        CHECK(twice.columns() == once.columns());
        CHECK(near(twice.loop_length.value, once.loop_length.value, kExact));

        GivenMeasures odd;
        odd.construction = Construction::tube;
        odd.blank = CountPair{91, 214};
        odd.size = kSize;
        const BlankLayout layout = settled(odd).layout;
        CHECK(layout.columns() == 46);
        CHECK(near(layout.width().value, 240, kExact));
        CHECK(near(layout.wale_spacing.value, 240.0 / 46, kExact));
    }

    TEST_CASE("the picture's shape tells the proportions where nothing else does") {
        GivenMeasures given;
        given.strand_length = kStrand;
        given.picture_width_per_length = 0.5;
        const BlankLayout layout = settled(given).layout;
        constexpr double kWholeStitches = 0.02;
        CHECK(near(layout.width() / layout.length(), 0.5, kWholeStitches));
        CHECK(near(layout.strand_length().value, kStrand.value, kWholeStitches));
    }

    TEST_CASE("figures that miss each other by over a tenth are a warning, by less they are not") {
        GivenMeasures given;
        given.blank = kCounts;
        given.strand_length = kStrand;  // 21.434 mm a loop
        given.loop = Millimetres{21.434 * 1.09};
        CHECK(settled(given).warnings.empty());
        given.loop = Millimetres{21.434 / 1.09};
        CHECK(settled(given).warnings.empty());
        given.loop = Millimetres{21.434 * 1.11};
        CHECK(settled(given).warnings.size() == 1);
        given.loop = Millimetres{21.434 / 1.11};
        CHECK(settled(given).warnings.size() == 1);
    }

    TEST_CASE("the warning names the figure that two others contradict") {
        GivenMeasures loop = all_given(), strand = all_given(), size = all_given();
        loop.loop = Millimetres{30};
        strand.strand_length = Millimetres{300'000};
        size.size = LengthPair{{300}, {1100}};
        const struct {
            GivenMeasures given;
            std::string again;
        } kCases[] = {{loop, "measure --loop again"},
                      {strand, "measure --strand-length with --blank again"},
                      {size, "measure --blank with --size again"}};
        for (const auto& one : kCases) {
            const SettledMeasures result = settled(one.given);
            REQUIRE(result.warnings.size() == 1);
            CAPTURE(result.warnings.front());
            CHECK(mentions(result.warnings.front(), one.again));
        }
        CHECK(settled(all_given()).warnings.empty());
    }

    TEST_CASE("two figures that contradict each other are both named") {
        GivenMeasures given;
        given.size = kSize;
        given.strand_length = kStrand;
        given.loop = Millimetres{30};
        const SettledMeasures result = settled(given);
        REQUIRE(result.warnings.size() == 1);
        CHECK(mentions(result.warnings.front(), "--loop"));
        CHECK(mentions(result.warnings.front(), "--size with --strand-length"));
        CHECK(mentions(result.warnings.front(), "again"));
        CHECK(near(result.layout.loop_length.value, 30, kExact));  // a measured loop is trusted most
    }

    TEST_CASE("a size typed the wrong way round is seen by the picture's shape") {
        const double shape = 24.0 / 86.0;
        CHECK(size_looks_turned({{860}, {240}}, shape));
        CHECK(!size_looks_turned({{240}, {860}}, shape));
        CHECK(size_looks_turned({{240}, {860}}, 1 / shape));
        CHECK(size_looks_turned({{860}, {240}}, shape * 1.14));    // fits turned within 15 %
        CHECK(!size_looks_turned({{860}, {240}}, shape * 1.17));   // fits neither way
        CHECK(!size_looks_turned({{300}, {300}}, shape));          // a square fits no better turned
        CHECK(!size_looks_turned({{330}, {300}}, 300.0 / 330.0));  // 21 % off may be stretch
    }

    TEST_CASE("what no blank can have is refused as wrong usage") {
        GivenMeasures three, none, zero_stitches, negative_rows, endless, no_width, endless_strand;
        three.strands = 3;
        none.strands = 0;
        zero_stitches.blank = CountPair{0, 214};
        negative_rows.blank = CountPair{46, -1};
        endless.blank = CountPair{100'000, 100'000};
        no_width.size = LengthPair{{0}, {860}};
        endless_strand.strand_length = Millimetres{std::numeric_limits<double>::infinity()};
        GivenMeasures metres, hair, not_a_number;
        metres.size = LengthPair{{2'400'000}, {8'600'000}};
        hair.loop = Millimetres{-1};
        not_a_number.loop = Millimetres{std::nan("")};
        for (const GivenMeasures& given : {three, none, zero_stitches, negative_rows, endless, no_width, endless_strand,
                                           metres, hair, not_a_number}) {
            try {
                settled(given);
                FAIL_CHECK("went through");
            } catch (const Error& fault) {
                CHECK(fault.kind() == ErrorKind::usage);
                CHECK(mentions(fault.what(), "--"));
            }
        }
        GivenMeasures one;
        one.strands = 1;
        CHECK(settled(one).layout.strands == 1);
    }
}
