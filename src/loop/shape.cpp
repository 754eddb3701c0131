#include "loopread/loop/shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

constexpr double kSway = 1.487;    // a of [Crane 2023], the value that lets the thickest round yarn fit
constexpr double kTravelZ = 0.40;  // E / w: out-of-plane travel of the centreline
constexpr int kSteps = 1024;       // of t, for arc lengths; Simpson's error is then under 1e-12

LoopVector velocity(double height, double t) {
    return {(1 + 2 * kSway * std::cos(2 * t)) / (2 * std::numbers::pi), -0.5 * height * std::sin(t),
            -kTravelZ * std::sin(2 * t)};
}

/// Arc length from -pi at each of kSteps + 1 equal steps of t.
std::vector<double> cumulative_length(double height) {
    std::vector<double> sum(kSteps + 1, 0.0);
    const double h = 2 * std::numbers::pi / kSteps;
    double speed = norm(velocity(height, -std::numbers::pi));
    for (int i = 0; i < kSteps; ++i) {
        const double t = -std::numbers::pi + i * h;
        const double middle = norm(velocity(height, t + h / 2));
        const double next = norm(velocity(height, t + h));
        sum[static_cast<std::size_t>(i) + 1] = sum[static_cast<std::size_t>(i)] + h / 6 * (speed + 4 * middle + next);
        speed = next;
    }
    return sum;
}

}  // namespace

double dot(LoopVector a, LoopVector b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
LoopVector cross(LoopVector a, LoopVector b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
double norm(LoopVector v) {
    return std::sqrt(dot(v, v));
}
LoopVector unit(LoopVector v) {
    return v * (1 / norm(v));
}

double loop_length_of_height(double height) {
    // The integrand is periodic and smooth, so the plain trapezium converges faster than any power of the step.
    constexpr int kNodes = 128;
    double sum = 0;
    for (int i = 0; i < kNodes; ++i) sum += norm(velocity(height, 2 * std::numbers::pi * i / kNodes));
    return sum * 2 * std::numbers::pi / kNodes;
}

double least_loop_length() {
    static const double length = loop_length_of_height(0);
    return length;
}

LoopShape::LoopShape(LoopProportions proportions) : proportions_(proportions) {
    const double wanted = proportions.length_per_wale;
    require(std::isfinite(wanted) && proportions.wale_per_course > 0, "loop proportions are finite and over 0");
    if (wanted < least_loop_length())
        throw Error(ErrorKind::usage,
                    "--loop: " + number_text(wanted, 2) +
                        " times the width of a stitch is too little yarn for a knitted loop, which needs " +
                        number_text(least_loop_length(), 2) +
                        " times; check --loop, --blank, --size and --strand-length");
    double low = 0;
    double high = wanted;  // a loop is at least twice as long as it is high
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (loop_length_of_height(middle) < wanted ? low : high) = middle;
    }
    height_ = 0.5 * (low + high);
    place_ = cumulative_length(height_);
    const double whole = place_.back();
    for (double& place : place_) place /= whole;
}

LoopVector LoopShape::point(double t) const {
    return {(t + kSway * std::sin(2 * t)) / (2 * std::numbers::pi), 0.5 * height_ * std::cos(t),
            0.5 * kTravelZ * std::cos(2 * t)};
}

LoopVector LoopShape::tangent(double t) const {
    return unit(velocity(height_, t));
}

double LoopShape::t_at(double place) const {
    const double wale = std::floor(place);
    const double within = place - wale;
    const auto above = std::upper_bound(place_.begin(), place_.end(), within);
    const auto i = std::min<std::ptrdiff_t>(above - place_.begin(), kSteps) - 1;
    const auto k = static_cast<std::size_t>(i);
    const double share = (within - place_[k]) / (place_[k + 1] - place_[k]);
    return -std::numbers::pi + 2 * std::numbers::pi * (wale + (static_cast<double>(i) + share) / kSteps);
}

double LoopShape::place_at(double t) const {
    const double turns = (t + std::numbers::pi) / (2 * std::numbers::pi);
    const double wale = std::floor(turns);
    const double step = (turns - wale) * kSteps;
    const auto k = static_cast<std::size_t>(std::min(static_cast<int>(step), kSteps - 1));
    return wale + place_[k] + (step - static_cast<double>(k)) * (place_[k + 1] - place_[k]);
}

Millimetres relaxed_loop_length(Millimetres wale_spacing, Millimetres course_spacing) {
    return {std::sqrt(23.1 * wale_spacing.value * course_spacing.value)};
}

double peirce_loop_length(double course_spacing, double wale_spacing, double diameter) {
    return 2 * course_spacing + wale_spacing + 5.94 * diameter;
}

Millimetres yarn_diameter(Tex linear_density, double packing, double fibre_density) {
    require(packing > 0 && fibre_density > 0, "packing and density are over 0");
    return {0.03568 * std::sqrt(linear_density.value / (packing * fibre_density))};
}

}  // namespace loopread
