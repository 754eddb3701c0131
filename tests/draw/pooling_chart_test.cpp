#include "loopread/draw/pooling_chart.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "draw/sheet_pixels.h"
#include "loopread/draw/canvas.h"

using namespace loopread;
using namespace loopread::sheet_pixels;

namespace {

constexpr Srgb8 kAsked{0x7d, 0x2e, 0x3f}, kClear{0xdf, 0xeb, 0xdc}, kPlot{0xff, 0xff, 0xff}, kGrid{0xec, 0xe8, 0xe1};
constexpr double kPixels = 1.5;  // a tick and what is measured by it each fall on whole pixels
constexpr double kGap = 8;       // pixels that labels keep from each other at least

/// From 53 to 159 cm, a point each 1.325 cm: 40 to 120 stitches.
PoolingChart chart(int from = 40, int to = 120) {
    PoolingChart chart;
    chart.headline = "At 64 stitches it pools for 71 of 100 knitters";
    chart.subtitle = "harbour blank, two strands";
    for (int n = from; n <= to; ++n)
        chart.points.push_back({n, 1.325 * n, 0.5 + 0.4 * std::sin(n / 5.0), std::nullopt});
    chart.asked_stitches = 64;
    chart.asked_cm = 84.8;
    chart.clear_risk = 0.05;
    return chart;
}

/// The scale at the bottom as it can be read off the picture.
struct ReadScale {
    int axis = -1;              // pixel row
    std::vector<double> ticks;  // middles of the ticks that carry numbers

    /// @param first, last  what the first and the last tick stand for, cm
    double x(double cm, double first, double last) const {
        return ticks.front() + (cm - first) / (last - first) * (ticks.back() - ticks.front());
    }
};

ReadScale read_scale(const Picture8& sheet) {
    ReadScale scale;
    for (int y = 0; y < sheet.rows() && scale.axis < 0; ++y)
        for (int x = 0, run = 0; x < sheet.columns(); ++x) {
            run = sheet(y, x) == ink::kText ? run + 1 : 0;
            if (run > sheet.columns() / 3) scale.axis = y;
        }
    REQUIRE(scale.axis > 0);
    for (int x = 0; x < sheet.columns(); ++x)
        if (sheet(scale.axis + 7, x) == ink::kText) scale.ticks.push_back(x + 0.5);
    return scale;
}

/// The columns in which a colour fills most of the plot, as stretches [from, to); lines of the grid do not end one.
struct Stretch {
    double from = 0, to = 0;
};
std::vector<Stretch> upright(const Picture8& sheet, int axis, Srgb8 colour) {
    std::vector<Stretch> stretches;
    for (int x = 0; x < sheet.columns(); ++x) {
        int count = 0;
        for (int y = axis - 350; y < axis - 5; ++y) count += sheet(y, x) == colour ? 1 : 0;
        if (count < 200) continue;
        if (stretches.empty() || x > stretches.back().to + 3) stretches.push_back({x + 0.0, x + 0.0});
        stretches.back().to = x + 1.0;
    }
    return stretches;
}

/// The flag of the asked-for round: all that is in its colour in rows where the colour is wide.
struct Box {
    int left = 0, right = 0, top = 0, bottom = 0;  // right and bottom are the last pixels
};
Box flag(const Picture8& sheet, int axis) {
    Box box{sheet.columns(), -1, -1, -1};
    for (int y = 0; y < axis; ++y) {
        int left = -1, right = -1, count = 0;
        for (int x = 0; x < sheet.columns(); ++x)
            if (sheet(y, x) == kAsked) {
                if (left < 0) left = x;
                right = x;
                ++count;
            }
        if (count < 30 || right - left < 60) continue;
        box.left = std::min(box.left, left);
        box.right = std::max(box.right, right);
        if (box.top < 0) box.top = y;
        box.bottom = y;
    }
    return box;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("the asked-for round is marked where its centimetres are on the scale") {
        for (const double cm : {53.0, 60.3, 84.9, 120.0, 159.0}) {
            CAPTURE(cm);
            PoolingChart pooling = chart();
            pooling.asked_cm = cm;
            const Picture8 sheet = pooling_chart(pooling);
            const ReadScale scale = read_scale(sheet);
            REQUIRE(scale.ticks.size() >= 21);  // 55, 60, ... 160; the mark can hide one
            const std::vector<Stretch> marks = upright(sheet, scale.axis, kAsked);
            REQUIRE(marks.size() == 1);
            CHECK(std::abs((marks[0].from + marks[0].to) / 2 - scale.x(cm, 55, 160)) <= kPixels);
        }
    }

    TEST_CASE("the axis runs over the points given and no further than it takes to see them") {
        const ReadScale scale = read_scale(pooling_chart(chart(57, 75)));  // 75.5 to 99.4 cm
        CHECK(scale.ticks.size() == 4);                                    // 80, 85, 90, 95
        CHECK(scale.ticks.back() - scale.ticks.front() > 600);
    }

    TEST_CASE("clear stretches are shaded exactly where they are") {
        const std::vector<std::vector<Stretch>> cases = {{},
                                                         {{79, 83}},
                                                         {{53.5, 54.2}, {150, 159}},
                                                         {{60, 61.4}, {64, 65.4}, {68, 69.4}, {72, 73.4}, {76, 77.4}},
                                                         {{60, 62},
                                                          {64, 66},
                                                          {68, 70},
                                                          {72, 74},
                                                          {76, 78},
                                                          {80, 82},
                                                          {88, 90},
                                                          {92, 94},
                                                          {96, 98},
                                                          {100, 102},
                                                          {104, 106},
                                                          {108, 110}}};
        for (const std::vector<Stretch>& stretches : cases) {
            CAPTURE(stretches.size());
            PoolingChart pooling = chart();
            pooling.asked_cm = 140;
            for (PoolingChartPoint& point : pooling.points) point.risk = 0.9;  // out of the way
            for (const Stretch& stretch : stretches)
                pooling.clear.push_back({stretch.from, stretch.to, "60 to 61.4 cm: 60 and 64 stitches"});
            const Picture8 sheet = pooling_chart(pooling);
            const ReadScale scale = read_scale(sheet);
            const std::vector<Stretch> shaded = upright(sheet, scale.axis, kClear);
            REQUIRE(shaded.size() == stretches.size());
            for (std::size_t i = 0; i < shaded.size(); ++i) {
                CHECK(std::abs(shaded[i].from - scale.x(stretches[i].from, 55, 160)) <= kPixels);
                CHECK(std::abs(shaded[i].to - scale.x(stretches[i].to, 55, 160)) <= kPixels);
            }
            CHECK(bare_margins(sheet));
        }
    }

    TEST_CASE("the flag of the asked-for round stays within the plot and clear of the other labels") {
        for (const double cm : {53.0, 61.0, 66.0, 74.0, 159.0}) {
            CAPTURE(cm);
            PoolingChart pooling = chart();
            pooling.asked_cm = cm;
            for (const double from : {58.0, 60.0, 64.0, 68.0, 72.0, 76.0})
                pooling.clear.push_back({from, from + 1.4, "60 to 61.4 cm: 60 and 64 stitches"});
            const Picture8 sheet = pooling_chart(pooling);
            const Box box = flag(sheet, read_scale(sheet).axis);
            REQUIRE(box.right > box.left + 60);
            for (int y = box.top; y < box.bottom - 1; ++y) {  // the line to its place begins at the bottom
                for (int x = box.left; x <= box.right; ++x) CHECK(sheet(y, x) != ink::kText);
                for (int x = 1; x <= kGap; ++x)
                    for (const Srgb8 beside : {sheet(y, box.left - x), sheet(y, box.right + x)}) {
                        const bool empty = beside == kPlot || beside == kGrid || beside == ink::kRule;
                        const bool sheet_edge = box.left - x < 100 || box.right + x > 1280;  // the plot's own edges
                        CHECK((empty || sheet_edge));
                    }
            }
        }
    }

    TEST_CASE("nothing reaches the margins of the pooling chart, however long its words") {
        PoolingChart pooling = chart();
        const std::string words = "a long story of how the colours fall and what may be done about them. ";
        pooling.headline = words + words + std::string(300, 'W');
        pooling.subtitle = words + words + words;
        pooling.advice = {words + words + words, std::string(200, 'w'), "", words};
        for (PoolingChartPoint& point : pooling.points) point.risk_alternated = point.risk;
        for (const int swatches : {0, 1, 2, 3, 5, 7}) {
            CAPTURE(swatches);
            pooling.swatches.clear();
            for (int i = 0; i < swatches; ++i)
                pooling.swatches.push_back(
                    {Image(i == 1 ? 3000 : 200, i == 2 ? 3000 : 420, {0.1, 0.5, 0.1}), words, {words, words}});
            CHECK(bare_margins(pooling_chart(pooling)));
        }
    }

    TEST_CASE("fabric that fits its place under the chart is drawn pixel for pixel") {
        PoolingChart pooling = chart();
        for (int i = 0; i < 3; ++i)
            pooling.swatches.push_back({Image(200, 420, {0.1, 0.5, 0.1}), "as asked", {"words"}});
        const Picture8 sheet = pooling_chart(pooling);
        CHECK(std::count(sheet.begin(), sheet.end(), srgb8_from_linear({0.1, 0.5, 0.1})) == 3 * 200 * 420);
    }

    TEST_CASE("no line is drawn over counts that were not looked at") {
        constexpr Srgb8 kRisk{0x2f, 0x4d, 0x66};
        PoolingChart whole = chart(40, 80), gap = whole;
        for (PoolingChart* one : {&whole, &gap})
            for (PoolingChartPoint& point : one->points) point.risk = 0.5;
        std::erase_if(gap.points,
                      [](const PoolingChartPoint& point) { return point.stitches > 50 && point.stitches < 70; });
        const Picture8 joined = pooling_chart(whole), parted = pooling_chart(gap);
        const auto longest = [&](const Picture8& sheet) {
            int best = 0;
            for (int y = 0; y < sheet.rows(); ++y)
                for (int x = 0, run = 0; x < sheet.columns(); ++x) {
                    run = sheet(y, x) == kRisk ? run + 1 : 0;
                    best = std::max(best, run);
                }
            return best;
        };
        // The mark of the asked-for round, at 64, cuts the whole line in two: 24 of its 40 steps are left.
        CHECK(longest(joined) > 1.8 * longest(parted));
        CHECK(longest(parted) > 0);
    }

    TEST_CASE("two ends by turns get a line and a name of their own") {
        constexpr Srgb8 kByTurns{0x9a, 0x5b, 0x2b};
        PoolingChart pooling = chart();
        const Picture8 without = pooling_chart(pooling);
        for (PoolingChartPoint& point : pooling.points) point.risk_alternated = 0.2;
        const Picture8 with = pooling_chart(pooling);
        const auto right_of_plot = [&](const Picture8& sheet) {
            int count = 0;
            for (int y = 0; y < sheet.rows(); ++y)
                for (int x = 1300; x < sheet.columns(); ++x) count += sheet(y, x) == kByTurns ? 1 : 0;
            return count;
        };
        CHECK(std::count(without.begin(), without.end(), kByTurns) == 0);
        CHECK(right_of_plot(with) > 50);
        CHECK(std::count(with.begin(), with.end(), kByTurns) > right_of_plot(with) + 500);
    }

    TEST_CASE("the band lies over the knitters it spans, at counts that were looked at, and nowhere else") {
        PoolingChart pooling = chart(40, 80);
        pooling.asked_cm = 87.5;  // between two ticks: the mark hides none
        for (PoolingChartPoint& point : pooling.points) {
            point.risk = 0.9;
            if (point.stitches <= 60) point.band = {0.2, 0.6};
        }
        pooling.band_is = "Grey band: where the line may lie.";
        const Picture8 sheet = pooling_chart(pooling);
        const ReadScale scale = read_scale(sheet);
        const double first = 55, last = 55 + 5.0 * (static_cast<double>(scale.ticks.size()) - 1);
        const auto banded = [&](double cm, double knitters) {  // between grid lines, which stand at each fifth knitter
            const int x = static_cast<int>(scale.x(cm, first, last));
            const int y = scale.axis - static_cast<int>(3.8 * knitters);  // 380 pixels high
            const Srgb8 seen = sheet(y, x);
            CAPTURE(cm);
            CAPTURE(knitters);
            CHECK((seen == kPlot || (seen.r < kPlot.r && seen.b < kPlot.b)));
            return !(seen == kPlot);
        };
        for (const double cm : {56.2, 63.7, 71.3, 78.7}) {
            CHECK(banded(cm, 22));
            CHECK(banded(cm, 50));
            CHECK(banded(cm, 57));
            CHECK_FALSE(banded(cm, 17));
            CHECK_FALSE(banded(cm, 63));
        }
        CHECK_FALSE(banded(90.7, 50));
        CHECK_FALSE(banded(101.3, 30));
    }

    TEST_CASE("the bar of the asked-for round reaches from where to where it may lie") {
        PoolingChart pooling = chart();
        for (PoolingChartPoint& point : pooling.points) point.risk = 0.9;
        const Picture8 without = pooling_chart(pooling);
        pooling.asked_span = {72.5, 96.2};
        const Picture8 sheet = pooling_chart(pooling);
        CHECK(sheet.rows() == without.rows());  // no words, no key
        const ReadScale scale = read_scale(sheet);
        const int y = scale.axis - 13;
        int from = -1, to = -1;
        for (int x = 0; x < sheet.columns(); ++x)
            if (sheet(y, x) == kAsked) {
                if (from < 0) from = x;
                to = x + 1;
            }
        CHECK(std::abs(from - scale.x(72.5, 55, 160)) <= kPixels);
        CHECK(std::abs(to - scale.x(96.2, 55, 160)) <= kPixels);
        const auto ends = [&](const Picture8& drawn) {  // upright strokes five pixels over the bar
            int count = 0;
            for (int x = 1; x < drawn.columns(); ++x)
                count += drawn(y - 5, x) == kAsked && !(drawn(y - 5, x - 1) == kAsked) ? 1 : 0;
            return count;
        };
        CHECK(ends(sheet) == 3);  // and the mark of the asked-for round
        pooling.asked_span = {20, 96.2};
        CHECK(ends(pooling_chart(pooling)) == 2);  // it goes on beyond the chart: no end there
        pooling.span_is = "Red bar: where your round may lie.";
        CHECK(pooling_chart(pooling).rows() > without.rows());
        pooling.how_sure = std::string(400, 'x') + " and more words than one line has room for";
        CHECK(bare_margins(pooling_chart(pooling)));
    }

    TEST_CASE("charts of one point, of steep and of huge rounds, can be drawn") {
        PoolingChart one = chart(63, 63);
        one.asked_cm = 84;
        CHECK(bare_margins(pooling_chart(one)));
        PoolingChart wide = chart(16, 900);
        for (PoolingChartPoint& point : wide.points) point.risk = point.stitches % 2;
        CHECK(bare_margins(pooling_chart(wide)));
        one.points.front().risk = 1;
        one.clear_risk = 1;
        one.asked_cm = 3000;  // far beyond the points
        CHECK(bare_margins(pooling_chart(one)));
    }

    TEST_CASE("the same pooling chart is the same picture") {
        PoolingChart pooling = chart();
        pooling.clear = {{79, 83, "79 to 83 cm: 60 and 64 stitches"}};
        CHECK(pooling_chart(pooling) == pooling_chart(pooling));
    }

    TEST_CASE("labels keep their order, their gap and their bounds, and stay where nothing is in their way") {
        const std::vector<std::vector<LabelWish>> cases = {{{50, 20}, {200, 20}},
                                                           {{5, 40}, {6, 40}, {7, 40}},
                                                           {{990, 60}, {995, 60}, {1000, 10}},
                                                           {{500, 80}, {510, 20}, {515, 90}, {700, 300}, {701, 2}}};
        for (const std::vector<LabelWish>& wishes : cases) {
            const std::vector<double> middles = places_apart(wishes, 0, 1000, 6);
            REQUIRE(middles.size() == wishes.size());
            for (std::size_t i = 0; i < wishes.size(); ++i) {
                CHECK(middles[i] - wishes[i].length / 2 >= -1e-9);
                CHECK(middles[i] + wishes[i].length / 2 <= 1000 + 1e-9);
                if (i > 0)
                    CHECK(middles[i] - middles[i - 1] >= (wishes[i].length + wishes[i - 1].length) / 2 + 6 - 1e-9);
            }
        }
        CHECK(places_apart(cases[0], 0, 1000, 6) == std::vector<double>{50, 200});
        // Two that want the same place move apart by the same: half a length and half a gap each.
        CHECK(places_apart({{500, 20}, {500, 20}}, 0, 1000, 6) == std::vector<double>{487, 513});
    }

    TEST_CASE("wrapped words are all there, in order, and no line is wider than its room") {
        const Canvas ruler(1, 1, ink::kPaper);
        const TextStyle style{.size = 15};
        const std::string words = "Knit twenty rounds, then mark the yarn and " + std::string(60, 'm') + " measure it";
        for (const double room : {60.0, 140.0, 400.0, 5000.0})
            for (const TextBlock& block : {wrapped(words, style, room), balanced(words, style, room)}) {
                std::string all;
                for (const std::string& line : block.lines) {
                    CHECK(ruler.text_width(line, style) <= room);
                    all += line;
                }
                std::string letters = words;
                for (std::string* text : {&all, &letters})
                    text->erase(std::remove(text->begin(), text->end(), ' '), text->end());
                CHECK(all == letters);
            }
        CHECK(balanced(words, style, 400).lines.size() == wrapped(words, style, 400).lines.size());
        CHECK(wrapped("", style, 100).lines.empty());
    }
}
