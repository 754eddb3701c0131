#include "loopread/loop/shape.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

#include "loopread/base/error.h"

using namespace loopread;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kPublished2 = 0.5e-2;  // a figure printed with two decimals
constexpr double kPublished3 = 0.5e-3;  // a figure printed with three decimals
constexpr double kClosedForm = 1e-12;   // arithmetic in double
constexpr double kTable = 1e-5;         // places are straight between 1024 steps of the table, chosen over its error

/// [Munden 1959], fully relaxed: courses per unit length = 5.5 / l, wales = 4.2 / l.
constexpr double kCourseConstant = 5.5;
constexpr double kWaleConstant = 4.2;

bool within(double value, double expected, double tolerance) {
    return std::abs(value - expected) <= tolerance;
}

/// Arc length of the curve as published, by many short chords; nothing of ours in it but the figures a and E.
double chord_length(double height, double from, double to) {
    constexpr int kChords = 20000;  // chords fall short by under 1e-7 of the length
    const auto x = [](double t) { return (t + 1.487 * std::sin(2 * t)) / (2 * kPi); };
    double sum = 0;
    for (int i = 0; i < kChords; ++i) {
        const double t = from + (to - from) * i / kChords;
        const double u = from + (to - from) * (i + 1) / kChords;
        sum += std::hypot(x(u) - x(t), height / 2 * (std::cos(u) - std::cos(t)),
                          0.2 * (std::cos(2 * u) - std::cos(2 * t)));
    }
    return sum;
}

struct Bends {
    double least_curvature = std::numeric_limits<double>::infinity();
    double most_curvature = 0;
};

/// Curvature from three neighbouring points of the curve.
Bends bends(const LoopShape& shape) {
    constexpr double kStep = 1e-3;
    Bends found;
    for (int i = 0; i < 2000; ++i) {
        const double t = -kPi + 2 * kPi * i / 2000;
        const LoopVector a = shape.point(t) - shape.point(t - kStep);
        const LoopVector b = shape.point(t + kStep) - shape.point(t);
        const LoopVector chord = a + b;
        const double curvature = 2 * norm(cross(a, b)) / (norm(a) * norm(b) * norm(chord));
        found.least_curvature = std::min(found.least_curvature, curvature);
        found.most_curvature = std::max(found.most_curvature, curvature);
    }
    return found;
}

}  // namespace

TEST_SUITE("loop") {
    // [Crane 2023] Eq. 1 in real sizes, a = 1.487, E = 0.40: heights and bends found numerically, apart from this code.
    TEST_CASE("the height and the tightest bend of the loop are those of Crane's curve") {
        struct Row {
            double wale_per_course, length_per_wale, height, bend_radius;
        };
        constexpr Row kTable3a[] = {{1.15, 4.482, 1.541, 0.360},
                                    {1.25, 4.299, 1.425, 0.363},
                                    {1.31, 4.199, 1.360, 0.361},
                                    {1.40, 4.062, 1.270, 0.353},
                                    {1.45, 3.991, 1.223, 0.348}};
        constexpr double kBendRadius = 1e-3;  // half the last digit, and half a digit of l/w
        for (const Row& row : kTable3a) {
            CAPTURE(row.wale_per_course);
            const LoopShape shape({row.wale_per_course, row.length_per_wale});
            // The lengths have three decimals too: half a digit of them moves H by up to 0.34e-3.
            CHECK(within(shape.height(), row.height, kPublished3 + 0.34e-3));
            CHECK(within(1 / bends(shape).most_curvature, row.bend_radius, kBendRadius));
            // The relaxed length at this w/c [Munden 1959].
            CHECK(within(std::sqrt(23.1 / row.wale_per_course), row.length_per_wale, kPublished3));
        }
        const Bends munden = bends(LoopShape({1.31, 4.199}));
        CHECK(within(munden.least_curvature, 1.43, kPublished2));
        CHECK(within(munden.most_curvature, 2.77, kPublished2));
    }

    TEST_CASE("the height follows the fitted parabola over its whole range") {
        constexpr double kFit = 1.05e-4;  // stated with the fit as 1e-4, to one digit
        for (double length = 3.99; length <= 4.4801; length += 0.01) {
            CAPTURE(length);
            const double fitted = -0.04818 * length * length + 1.05634 * length - 2.22589;
            CHECK(within(LoopShape({1.31, length}).height(), fitted, kFit));
        }
    }

    TEST_CASE("the curve is as long as was asked") {
        constexpr double kChordError = 1e-6;
        for (const double length : {2.9, 3.991, 4.199, 4.482, 6.0}) {
            CAPTURE(length);
            const LoopShape shape({1.31, length});
            CHECK(within(chord_length(shape.height(), -kPi, kPi), length, kChordError));
            CHECK(within(loop_length_of_height(shape.height()), length, 1e-11));
        }
    }

    TEST_CASE("the curve goes through Crane's points and repeats itself wale after wale") {
        const LoopShape shape({1.31, 4.199});
        const double half = shape.height() / 2;
        const auto is_at = [&](double t, LoopVector expected) { return norm(shape.point(t) - expected) < kClosedForm; };
        CHECK(is_at(0, {0, half, 0.2}));
        CHECK(is_at(kPi, {0.5, -half, 0.2}));
        CHECK(is_at(-kPi / 2, {-0.25, 0, -0.2}));
        CHECK(is_at(kPi / 4, {(kPi / 4 + 1.487) / (2 * kPi), half * std::numbers::sqrt2 / 2, 0}));
        for (const double t : {-3.0, -0.4, 1.1, 2.9}) {
            CAPTURE(t);
            CHECK(norm(shape.point(t + 2 * kPi) - shape.point(t) - LoopVector{1, 0, 0}) < kClosedForm);
            const LoopVector chord = unit(shape.point(t + 1e-5) - shape.point(t - 1e-5));
            CHECK(norm(chord - shape.tangent(t)) < 1e-8);
        }
    }

    // Fractions of the half loop's arc length from the top of the needle arc, at t/pi = 0, .1 ... 1: the parameter of
    // the curve is not its length.
    TEST_CASE("places along the yarn follow the table of arc lengths of Crane's curve") {
        constexpr double kReadOff = 1.2e-3;  // the table was read off samples; the chords below are finer
        constexpr double kHalfLoop[] = {0, .094, .188, .286, .390, .500, .610, .714, .812, .906, 1};
        const LoopShape shape({1.31, 4.199});
        for (int i = 0; i <= 10; ++i) {
            CAPTURE(i);
            const double after_top = shape.place_at(kPi * i / 10);
            const double before_top = shape.place_at(-kPi * i / 10);
            CHECK(within(2 * (after_top - 0.5), kHalfLoop[i], kReadOff));
            CHECK(within(before_top, 1 - after_top, kClosedForm));
            CHECK(within(after_top - 0.5, chord_length(shape.height(), 0, kPi * i / 10) / shape.length(), kTable));
        }
        double least = std::numeric_limits<double>::infinity();
        double most = 0;
        for (int i = 0; i < 1000; ++i) {
            const double t = 2 * kPi * i / 1000;
            const double speed = norm(shape.point(t + 1e-4) - shape.point(t - 1e-4));
            least = std::min(least, speed);
            most = std::max(most, speed);
        }
        CHECK(within(most / least, 1.19, 2 * kPublished2));  // 1.198: the table cut its digits off
    }

    TEST_CASE("places and parameters undo each other, over the neighbouring wales too") {
        const LoopShape shape({1.31, 4.199});
        for (int i = -30; i <= 30; ++i) {
            const double place = i / 13.0;
            CAPTURE(place);
            CHECK(within(shape.place_at(shape.t_at(place)), place, kClosedForm));
        }
        CHECK(within(shape.t_at(0), -kPi, kClosedForm));
        CHECK(within(shape.t_at(1), kPi, kClosedForm));
        CHECK(within(shape.t_at(0.5), 0, kClosedForm));
        CHECK(within(shape.t_at(-0.25), -1.5 * kPi, 1e-9));
        const double t = 0.37 * kPi;
        const double part = chord_length(shape.height(), -kPi, t) / chord_length(shape.height(), -kPi, kPi);
        CHECK(within(shape.place_at(t), part, kTable));
    }

    // The widest points of the arcs, cos 2t = -1/(2a), part the loop into arcs and legs ([Crane 2023]; 29, 21 %).
    TEST_CASE("each arc holds 29 per cent of the yarn and each leg 21") {
        const LoopShape shape({1.31, 4.199});
        const double widest = 0.5 * std::acos(-1 / (2 * 1.487));
        CHECK(within(widest / kPi, 0.305, kPublished3));
        CHECK(within(shape.place_at(widest) - shape.place_at(-widest), kArcShare, kPublished2));
        CHECK(within(shape.place_at(kPi - widest) - shape.place_at(widest), kLegShare, kPublished2));
        CHECK(within(2 * kArcShare + 2 * kLegShare, 1, kClosedForm));
    }

    TEST_CASE("a loop shorter than the flattest curve is the user's mistake") {
        CHECK(within(least_loop_length(), 2.84, kPublished2));
        CHECK(within(chord_length(0, -kPi, kPi), least_loop_length(), 1e-6));
        CHECK_NOTHROW(LoopShape({1.31, least_loop_length() + 1e-6}));
        try {
            LoopShape({1.31, 2.8});
            FAIL("a loop of 2.8 stitch widths was accepted");
        } catch (const Error& error) {
            CHECK(error.kind() == ErrorKind::usage);
            CHECK(std::string(error.what()).find("2.84") != std::string::npos);
        }
        CHECK_THROWS_AS(LoopShape({0, 4.2}), std::logic_error);
        CHECK_THROWS_AS(LoopShape({1.31, std::nan("")}), std::logic_error);
    }

    // [Peirce 1947], the closest structure: w = 4 d, c = 3.364 d, l = 16.66 d; the general formula as quoted in
    // [Fletcher 1952]. A two-dimensional model of Chamberlain's is quoted as l/d = 16.6688.
    TEST_CASE("Peirce's formula gives the loop length of his closest structure") {
        constexpr double kCoefficients = 0.011;  // 5.94, twice 3.364 and 16.66, each to half its last digit
        CHECK(within(peirce_loop_length(3.364, 4, 1), 16.66, kCoefficients));
        CHECK(within(peirce_loop_length(3.364, 4, 1), 16.6688, kCoefficients));
        CHECK(within(peirce_loop_length(5, 7, 0.5), 10 + 7 + 2.97, kClosedForm));
        CHECK(kVisibleDiameter == 1 / 4.0);
        // Munden's relaxed fabric, w = l / 4.2, has Peirce's stitch width to 1 per cent: 4.17 in his terms.
        CHECK(within(16.66 / 4.0, kWaleConstant, 0.01 * kWaleConstant));
    }

    // Worked example with [Munden 1959]'s constants, fully relaxed, l = 0.5 cm: 92.4 loops per square centimetre, 11.0
    // courses and 8.4 wales per centimetre (an entrance examination in textile engineering, 2015: 92).
    TEST_CASE("Munden's relaxed fabric of 92.4 loops per square centimetre has loops of half a centimetre") {
        constexpr double kLoopCm = 0.5;
        const double courses_per_cm = kCourseConstant / kLoopCm;
        const double wales_per_cm = kWaleConstant / kLoopCm;
        CHECK(within(courses_per_cm * wales_per_cm, 92.4, 1e-9));
        CHECK(within(relaxed_loop_length({10 / wales_per_cm}, {10 / courses_per_cm}).value, 5.0, 1e-9));
        // A fabric 1.31 times as fine lengthwise has the loop length that Crane's curve is recommended at.
        CHECK(within(relaxed_loop_length({1}, {1 / 1.31}).value, 4.199, kPublished3));
        CHECK(within(kCourseConstant / kWaleConstant, 1.31, kPublished2));
    }

    // Craft Yarn Council standard yarn weight system, category 1 (sock yarn): 27 to 32 stitches in 4 inches; rows 1.31
    // times the stitches [Munden 1959]. In loops: stitches 3.76 to 3.18 mm wide, of 15.8 to 13.3 mm of yarn.
    TEST_CASE("sock yarn at its usual gauges has loops of 13.3 to 15.8 mm") {
        constexpr double kPublished1 = 0.05;
        const auto width_mm = [](double stitches_in_4_inches) { return 101.6 / stitches_in_4_inches; };
        const auto loop_mm = [&](double stitches) {
            return relaxed_loop_length({width_mm(stitches)}, {width_mm(stitches) / 1.31}).value;
        };
        CHECK(within(width_mm(27), 3.76, kPublished2));
        CHECK(within(width_mm(32), 3.18, kPublished2 + 1e-9));
        CHECK(within(loop_mm(27), 15.8, kPublished1));
        CHECK(within(loop_mm(32), 13.3, kPublished1));
        // Fully relaxed, a loop is 4.2 stitch widths [Munden 1959].
        CHECK(within(loop_mm(30) / width_mm(30), kWaleConstant, kPublished2));
    }

    // d = 0.03568 sqrt(tex / (packing x density)), exact geometry; wool 1.31 g/cm3 [Morton 2008, table 5.1].
    TEST_CASE("wool yarn is as thick as its mass and packing say") {
        struct Row {
            double tex;
            double millimetres[6];
        };
        constexpr double kPacking[] = {.35, .40, .45, .50, .60, .65};
        constexpr Row kTable4[] = {{230, {.799, .748, .705, .669, .610, .586}},
                                   {240, {.816, .764, .720, .683, .624, .599}},
                                   {250, {.833, .779, .735, .697, .636, .611}},
                                   {480, {1.155, 1.080, 1.018, .966, .882, .847}}};
        constexpr double kCoefficient = 1e-4;  // relative: 0.03568 has four digits
        for (const Row& row : kTable4)
            for (std::size_t i = 0; i < 6; ++i) {
                CAPTURE(row.tex);
                CAPTURE(kPacking[i]);
                CHECK(within(yarn_diameter({row.tex}, kPacking[i]).value, row.millimetres[i],
                             kPublished3 + kCoefficient));
            }
        CHECK(within(yarn_diameter({240}).value, 0.720, kPublished3));
        // A kilometre of it weighs its tex in grams again.
        const double d = yarn_diameter({240}, 0.6, 1.14).value;
        CHECK(within(kPi / 4 * d * d * 0.6 * 1.14 * 1000 / 240, 1, 2 * kCoefficient));
        // [Peirce 1947], cotton of 1.1 cm3/g: d = 1 / (28 sqrt(Ne)) inch; Ne 20 is 29.53 tex.
        CHECK(within(yarn_diameter({29.53}, 1 / 1.1, 1).value, 25.4 / (28 * std::sqrt(20.0)), 0.005 * 0.2));
    }
}
