#include "loopread/loop/interlacing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace loopread {
namespace {

constexpr double kLeastClearance = 0.2;  // wale spacings
constexpr double kLeastWalePerCourse = 1.15;
constexpr double kMostWalePerCourse = 1.45;

struct Sampled {
    std::vector<double> t;
    std::vector<LoopVector> point;
};

Sampled sampled(const LoopShape& shape, double from, double to, int steps) {
    Sampled samples;
    for (int i = 0; i <= steps; ++i) {
        samples.t.push_back(from + (to - from) * i / steps);
        samples.point.push_back(shape.point(samples.t.back()));
    }
    return samples;
}

/// Newton's method in plan from a first guess; both parameters are moved.
Crossing refined(const LoopShape& shape, double older_t, double newer_t) {
    const double c = shape.course_spacing();
    constexpr double kStep = 1e-6;
    for (int i = 0; i < 20; ++i) {
        const LoopVector gap = shape.point(older_t) - (shape.point(newer_t) + LoopVector{0, c, 0});
        const LoopVector a = (shape.point(older_t + kStep) - shape.point(older_t - kStep)) * (0.5 / kStep);
        const LoopVector b = (shape.point(newer_t + kStep) - shape.point(newer_t - kStep)) * (0.5 / kStep);
        const double determinant = -a.x * b.y + a.y * b.x;
        if (std::abs(determinant) < 1e-12) break;
        older_t -= (-gap.x * b.y + gap.y * b.x) / determinant;
        newer_t -= (a.x * gap.y - a.y * gap.x) / determinant;
    }
    return {older_t, newer_t, shape.point(newer_t).z - shape.point(older_t).z};
}

bool segments_cross(LoopVector p, LoopVector q, LoopVector r, LoopVector s) {
    const auto turn = [](LoopVector a, LoopVector b, LoopVector c) {
        return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    };
    return turn(p, q, r) * turn(p, q, s) < 0 && turn(r, s, p) * turn(r, s, q) < 0;
}

}  // namespace

std::vector<Crossing> crossings(const LoopShape& shape) {
    constexpr int kSegments = 200;  // a loop
    const Sampled older = sampled(shape, -std::numbers::pi, std::numbers::pi, kSegments);
    const Sampled newer = sampled(shape, -3 * std::numbers::pi, 3 * std::numbers::pi, 3 * kSegments);
    const LoopVector up{0, shape.course_spacing(), 0};
    std::vector<Crossing> found;
    for (std::size_t i = 0; i + 1 < older.t.size(); ++i)
        for (std::size_t k = 0; k + 1 < newer.t.size(); ++k)
            if (segments_cross(older.point[i], older.point[i + 1], newer.point[k] + up, newer.point[k + 1] + up))
                found.push_back(
                    refined(shape, 0.5 * (older.t[i] + older.t[i + 1]), 0.5 * (newer.t[k] + newer.t[k + 1])));
    return found;
}

double Clearance::least() const {
    return std::min({next_course, second_course, same_course});
}

Clearance clearance(const LoopShape& shape) {
    constexpr int kSamples =
        160;  // a loop; neighbouring samples are 0.03 apart, an error of under 5e-4 in the distance
    const Sampled one = sampled(shape, -std::numbers::pi, std::numbers::pi, kSamples);
    const Sampled three = sampled(shape, -3 * std::numbers::pi, 3 * std::numbers::pi, 3 * kSamples);
    const double c = shape.course_spacing();
    const double neighbour_places = 0.6 / shape.length();  // nearer than this along the yarn is the same bit of yarn
    std::vector<double> place;
    for (const double t : three.t) place.push_back(shape.place_at(t));
    double least_square[3] = {1e9, 1e9, 1e9};
    for (std::size_t i = 0; i < one.t.size(); ++i) {
        const double own_place = shape.place_at(one.t[i]);
        for (std::size_t k = 0; k < three.t.size(); ++k)
            for (int courses = 0; courses < 3; ++courses) {
                if (courses == 0 && std::abs(place[k] - own_place) < neighbour_places) continue;
                const LoopVector gap = three.point[k] + LoopVector{0, courses * c, 0} - one.point[i];
                least_square[courses] = std::min(least_square[courses], dot(gap, gap));
            }
    }
    return {std::sqrt(least_square[1]), std::sqrt(least_square[2]), std::sqrt(least_square[0])};
}

bool can_be_drawn(const LoopShape& shape) {
    const bool caught_once = shape.height() < 2 * shape.course_spacing();
    return caught_once && clearance(shape).least() >= kLeastClearance && crossings(shape).size() == 4;
}

DrawnShape drawn_shape(LoopProportions measured) {
    LoopProportions held = measured;
    held.wale_per_course = std::clamp(measured.wale_per_course, kLeastWalePerCourse, kMostWalePerCourse);
    LoopShape wanted(held);
    const bool ratio_moved = held.wale_per_course != measured.wale_per_course;
    if (can_be_drawn(wanted)) return {wanted, ratio_moved};
    // A fully relaxed loop can be drawn at every w/c of the band; go from it towards the wanted length.
    double good = std::sqrt(23.1 / held.wale_per_course);
    double bad = held.length_per_wale;
    for (int i = 0; i < 14; ++i) {
        held.length_per_wale = 0.5 * (good + bad);
        (can_be_drawn(LoopShape(held)) ? good : bad) = held.length_per_wale;
    }
    held.length_per_wale = good;
    return {LoopShape(held), true};
}

}  // namespace loopread
