#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/error.h"
#include "loopread/base/random.h"
#include "table/table_scene.h"

using namespace loopread;

namespace {

constexpr BlankRaster kRaster{160, 104, 1.0, 1.0};  // a pixel is a millimetre: 104 x 160 mm

BlankRaster fine_raster() {
    return {320, 200, 0.52, 0.5};
}

double sum(const Plane& plane) {
    double out = 0;
    for (const double value : plane) out += value;
    return out;
}

/// Area of a layer in square millimetres.
double area(const LayerForm& form, const BlankRaster& raster) {
    return sum(drawn(form, raster, {})) * raster.mm_per_column * raster.mm_per_row;
}

double greatest_difference(const Plane& a, const Plane& b) {
    double worst = 0;
    for (int row = 0; row < a.rows(); ++row)
        for (int column = 0; column < a.columns(); ++column)
            worst = std::max(worst, std::abs(a(row, column) - b(row, column)));
    return worst;
}

double eased(double t) {
    if (t <= -0.5) return 0;
    if (t >= 0.5) return 1;
    return 0.5 + 1.5 * t - 2 * t * t * t;  // the smooth step written out about its middle
}

/// Distance to a polyline, point by point along it.
double slow_distance(const Stroke& stroke, double x, double y) {
    double nearest = 1e9;
    for (std::size_t i = 0; i < stroke.points.size(); ++i) {
        const BlankPoint a = stroke.points[i > 0 ? i - 1 : 0], b = stroke.points[i];
        constexpr int kSteps = 4000;
        for (int k = 0; k <= kSteps; ++k) {
            const double t = static_cast<double>(k) / kSteps;
            nearest =
                std::min(nearest, std::hypot(a.x_mm + t * (b.x_mm - a.x_mm) - x, a.y_mm + t * (b.y_mm - a.y_mm) - y));
        }
    }
    return nearest;
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("a dip covers its level, half strength where the bath stood") {
        for (const Dip::Edge edge : {Dip::Edge::ravel, Dip::Edge::far, Dip::Edge::left, Dip::Edge::right}) {
            const Plane plane = drawn(Dip{edge, 0.25, 2}, kRaster, {});
            constexpr double kAFade = 1e-3;  // the fade is odd about the level, which lies between pixels
            CHECK(std::abs(sum(plane) / static_cast<double>(plane.size()) - 0.25) < kAFade);
            const bool along = edge == Dip::Edge::ravel || edge == Dip::Edge::far;
            const bool first = edge == Dip::Edge::ravel || edge == Dip::Edge::left;
            const double near = along ? plane(first ? 0 : 159, 50) : plane(80, first ? 0 : 103);
            const double far = along ? plane(first ? 159 : 0, 50) : plane(80, first ? 103 : 0);
            CHECK(near == 1);
            CHECK(far == 0);
        }
        CHECK(sum(drawn(Dip{Dip::Edge::far, 0, 0}, kRaster, {})) < 104);  // not under at all: at most the edge itself
    }

    TEST_CASE("bands cover width over width and gap, wherever they start and however they slant") {
        constexpr double kEndsCut = 0.02;  // of a share: bands cut off at the blank's end
        for (const double start : {0.0, 1.3, -7.0})
            CHECK(std::abs(area(Bands{Bands::Along::rows, 2, 2, start, 0, 0.3}, kRaster) / (104.0 * 160) - 0.5) <
                  kEndsCut);
        CHECK(std::abs(area(Bands{Bands::Along::length, 1, 1.6, 0, 0, 0.2}, kRaster) / (104.0 * 160) - 1 / 2.6) <
              kEndsCut);
        CHECK(std::abs(area(Bands{Bands::Along::rows, 1, 1, 0, 30, 0.2}, kRaster) / (104.0 * 160) - 0.5) < kEndsCut);
        const Plane plane = drawn(Bands{Bands::Along::rows, 2, 4, 1, 0, 0.2}, kRaster, {});
        CHECK(plane(5, 0) == 0);   // before the start
        CHECK(plane(20, 0) == 1);  // 1 to 3 cm
        CHECK(plane(40, 0) == 0);
        CHECK(plane(80, 99) == 1);  // 7 to 9 cm
    }

    TEST_CASE("dots have their area each and are as many as their spacing says") {
        const Dots dots{1.2, 3, 0, 7};
        const BlankRaster raster{300, 300, 0.5, 0.5};  // 15 x 15 cm: 5 x 5 dots
        const double one = std::numbers::pi * 6 * 6;
        // A soft edge that is even about the radius adds its own width's second moment; 1 % holds it.
        CHECK(std::abs(area(dots, raster) / (25 * one) - 1) < 0.01);
        const Dots strewn{1.2, 3, 0.8, 7}, other{1.2, 3, 0.8, 8};
        CHECK(greatest_difference(drawn(strewn, raster, {}), drawn(strewn, raster, {})) == 0);
        CHECK(greatest_difference(drawn(strewn, raster, {}), drawn(other, raster, {})) > 0.9);
    }

    TEST_CASE("a stroke is its distance to the line, seen point by point") {
        const Stroke bent = [] {
            Stroke out = stroke({{10, 20}, {60, 30}, {40, 90}}, 1.4);
            out.soft = 0.5;
            return out;
        }();
        const Plane plane = drawn(Brush{{bent}}, kRaster, {});
        const double radius = 7, soft = 3.5;
        for (int row = 3; row < 130; row += 7)
            for (int column = 2; column < 100; column += 5) {
                const double slow = eased((radius - slow_distance(bent, column + 0.5, row + 0.5)) / soft);
                // The slow way steps along the line by at most 0.02 mm.
                REQUIRE(std::abs(plane(row, column) - slow) < 1e-3);
            }
        CHECK(sum(drawn(Brush{{stroke({{30, 30}})}}, kRaster, {})) ==
              doctest::Approx(std::numbers::pi * 25).epsilon(0.03));
    }

    TEST_CASE("a part drawn again is the same part, to the bit") {
        const BlankRaster raster = fine_raster();
        Prints fish;
        fish.shape = PrintShape::fish;
        fish.turn_deg = 25;
        fish.repeat = PrintRepeat{4, 5, 0.3};
        PrintMasks masks;
        masks[2] = Plane(40, 60, 0.0);
        for (int i = 0; i < 40; ++i) masks[2](i, i) = 1;
        Prints masked;
        masked.shape = PrintShape::mask;
        masked.mask = 2;
        masked.places = {{40, 40}, {90, 120}};
        const std::vector<LayerForm> forms{Dip{Dip::Edge::left, 0.4, 3},
                                           Bands{Bands::Along::rows, 1, 2, 0, 12, 0.4},
                                           Dots{1, 2, 1, 3},
                                           Brush{{stroke({{0, 0}, {50, 70}, {100, 20}})}},
                                           fish,
                                           masked};
        for (const LayerForm& form : forms) {
            CAPTURE(form.index());
            const Plane once = drawn(form, raster, masks);
            CHECK(sum(once) > 0);
            Plane patched = once;
            for (const RasterBox& box : {RasterBox{0, 0, 30, 40}, RasterBox{77, 101, 133, 220}, whole(raster)}) {
                for (int row = box.top; row < box.bottom; ++row)
                    for (int column = box.left; column < box.right; ++column) patched(row, column) = 0.123;
                redraw(patched, form, raster, masks, box);
                CHECK(patched == once);
            }
        }
    }

    TEST_CASE("the box of what changed holds every pixel that did") {
        const BlankRaster raster = fine_raster();
        const Brush before{{stroke({{10, 20}, {60, 80}}), stroke({{90, 30}, {30, 120}}, 0.6)}};
        std::vector<Brush> after(5, before);
        after[0].strokes[1].points.push_back({80, 140});
        after[1].strokes.push_back(stroke({{5, 5}, {9, 40}}));
        after[2].strokes.pop_back();
        after[3].strokes[0].width_cm = 3;
        after[4].strokes[0].points[1] = {20, 80};
        const Plane old = drawn(before, raster, {});
        for (const Brush& now : after) {
            const RasterBox box = changed_box(before, now, raster);
            CHECK_FALSE(box == whole(raster));
            const Plane plane = drawn(now, raster, {});
            bool changed = false;
            for (int row = 0; row < raster.rows; ++row)
                for (int column = 0; column < raster.columns; ++column) {
                    const bool inside = row >= box.top && row < box.bottom && column >= box.left && column < box.right;
                    if (plane(row, column) == old(row, column)) continue;
                    changed = true;
                    REQUIRE(inside);
                }
            CHECK(changed);
        }
        CHECK(changed_box(before, before, raster).empty());
    }

    TEST_CASE("shapes lie within their unit, and no step changes their distance by more than itself") {
        for (const PrintShape shape : {PrintShape::leaf, PrintShape::boat, PrintShape::fish, PrintShape::star,
                                       PrintShape::drop, PrintShape::ring, PrintShape::wave}) {
            CAPTURE(static_cast<int>(shape));
            double inside = 0, least = 0, most = 0;
            constexpr int kGrid = 160;
            for (int j = 0; j < kGrid; ++j)
                for (int i = 0; i < kGrid; ++i) {
                    const double x = (i + 0.5) / kGrid * 1.4 - 0.7, y = (j + 0.5) / kGrid * 1.4 - 0.7;
                    const double here = distance_to(shape, x, y);
                    constexpr double kStep = 1e-3, kRounding = 1e-9;
                    REQUIRE(std::abs(distance_to(shape, x + kStep, y) - here) <= kStep + kRounding);
                    REQUIRE(std::abs(distance_to(shape, x, y + kStep) - here) <= kStep + kRounding);
                    if (here >= 0) continue;
                    inside += 1.4 * 1.4 / (kGrid * kGrid);
                    REQUIRE(std::max(std::abs(x), std::abs(y)) <= 0.5 + 1e-9);
                    least = std::min({least, x, y});
                    most = std::max({most, x, y});
                }
            CHECK(inside > 0.1);
            CHECK(inside < 0.6);
            CHECK(most - least > 0.85);  // they fill their unit one way at least
        }
        // Areas known in closed form: the ring of 0.26 to 0.5, the star of 5 points.
        const auto area_of = [](PrintShape shape) {
            int inside = 0;
            constexpr int kGrid = 1000;
            for (int j = 0; j < kGrid; ++j)
                for (int i = 0; i < kGrid; ++i)
                    inside += distance_to(shape, (i + 0.5) / kGrid - 0.5, (j + 0.5) / kGrid - 0.5) < 0 ? 1 : 0;
            return static_cast<double>(inside) / (kGrid * kGrid);
        };
        CHECK(area_of(PrintShape::ring) == doctest::Approx(std::numbers::pi * (0.25 - 0.26 * 0.26)).epsilon(0.005));
        CHECK(area_of(PrintShape::star) ==
              doctest::Approx(5 * 0.5 * 0.21 * std::sin(std::numbers::pi / 5)).epsilon(0.005));
    }

    TEST_CASE("a mask is printed at its size, upright or turned, in its own place") {
        PrintMasks masks;
        masks[1] = Plane(100, 50, 1.0);  // black all over: 2 cm wide at a size of 4 cm
        Prints prints;
        prints.shape = PrintShape::mask;
        prints.mask = 1;
        prints.size_cm = 4;
        prints.places = {{50, 80}};
        CHECK(sum(drawn(prints, kRaster, masks)) == doctest::Approx(40 * 20).epsilon(0.02));
        const Plane upright = drawn(prints, kRaster, masks);
        prints.turn_deg = 90;
        const Plane turned_plane = drawn(prints, kRaster, masks);
        CHECK(upright(63, 50) > 0.9);
        CHECK(upright(80, 66) == 0);
        CHECK(turned_plane(63, 50) == 0);
        CHECK(turned_plane(80, 66) > 0.9);
        prints.mask = 9;
        CHECK_THROWS_AS(drawn(prints, kRaster, masks), Error);
    }
}
