#include "loopread/colour/difference.h"

#include <cmath>
#include <numbers>

namespace loopread {
namespace {

constexpr double kPower7 = 6103515625.0;  // 25^7

double radians(double degrees) {
    return degrees * (std::numbers::pi / 180);
}

double to_seventh(double x) {
    const double cube = x * x * x;
    return cube * cube * x;
}

double chroma_term(double chroma) {  // the square root in [Sharma 2005] Eq. 4 and 17
    const double c7 = to_seventh(chroma);
    return std::sqrt(c7 / (c7 + kPower7));
}

/// [Sharma 2005] Eq. 7, degrees in [0, 360).
double hue_degrees(double a, double b) {
    if (a == 0 && b == 0) return 0;
    const double angle = std::atan2(b, a) * (180 / std::numbers::pi);
    return angle < 0 ? angle + 360 : angle;
}

/// Hues exactly opposite fall on the published side of the branch whatever the last digit of the arc tangent; the
/// nearest published pair that belongs on the other side is 0.0015 degrees away.
bool opposite_or_nearer(double h1, double h2) {
    return std::abs(h1 - h2) <= 180 + 1e-9;
}

/// [Sharma 2005] Eq. 10.
double hue_step(double h1, double h2) {
    if (opposite_or_nearer(h1, h2)) return h2 - h1;
    return h2 > h1 ? h2 - h1 - 360 : h2 - h1 + 360;
}

/// [Sharma 2005] Eq. 14.
double mean_hue(double h1, double h2) {
    if (opposite_or_nearer(h1, h2)) return (h1 + h2) / 2;
    return h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2;
}

}  // namespace

double delta_e_2000(Lab first, Lab second) {
    const double g =
        0.5 * (1 - chroma_term((std::hypot(first.a, first.b) + std::hypot(second.a, second.b)) / 2));  // Eq. 4
    const double a1 = (1 + g) * first.a, a2 = (1 + g) * second.a;                                      // Eq. 5
    const double c1 = std::hypot(a1, first.b), c2 = std::hypot(a2, second.b);                          // Eq. 6
    const double h1 = hue_degrees(a1, first.b), h2 = hue_degrees(a2, second.b);
    const bool grey = c1 * c2 == 0;  // one of the hues means nothing

    const double step_l = second.l - first.l;
    const double step_c = c2 - c1;
    const double step_h = grey ? 0 : 2 * std::sqrt(c1 * c2) * std::sin(radians(hue_step(h1, h2)) / 2);  // Eq. 11

    const double l = (first.l + second.l) / 2;
    const double c = (c1 + c2) / 2;
    const double h = grey ? h1 + h2 : mean_hue(h1, h2);
    const double t = 1 - 0.17 * std::cos(radians(h - 30)) + 0.24 * std::cos(radians(2 * h)) +
                     0.32 * std::cos(radians(3 * h + 6)) - 0.20 * std::cos(radians(4 * h - 63));   // Eq. 15
    const double turn = 30 * std::exp(-std::pow((h - 275) / 25, 2));                               // Eq. 16
    const double scale_l = 1 + 0.015 * std::pow(l - 50, 2) / std::sqrt(20 + std::pow(l - 50, 2));  // Eq. 18
    const double scale_c = 1 + 0.045 * c;                                                          // Eq. 19
    const double scale_h = 1 + 0.015 * c * t;                                                      // Eq. 20
    const double rotation = -std::sin(radians(2 * turn)) * 2 * chroma_term(c);                     // Eq. 17 and 21

    const double dl = step_l / scale_l, dc = step_c / scale_c, dh = step_h / scale_h;
    return std::sqrt(dl * dl + dc * dc + dh * dh + rotation * dc * dh);  // Eq. 22
}

double delta_e_76(Lab a, Lab b) {
    return std::hypot(a.l - b.l, a.a - b.a, a.b - b.b);
}

}  // namespace loopread
