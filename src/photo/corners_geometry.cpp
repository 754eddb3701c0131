#include "photo/corners_geometry.h"

#include <string>
#include <utility>

namespace loopread {

Corners upright_order(Corners c) {
    double area = 0;
    for (int i = 0; i < 4; ++i) area += cross(corner(c, i), corner(c, i + 1));
    if (area < 0) std::swap(c[1], c[3]);
    int best = 0;
    double most = -2;
    for (int i = 0; i < 4; ++i) {
        const PhotoPoint top = corner(c, i + 1) - corner(c, i), bottom = corner(c, i + 2) - corner(c, i + 3);
        const double rightwards = (top + bottom).x / (length(top) + length(bottom));
        if (rightwards > most) {
            most = rightwards;
            best = i;
        }
    }
    std::rotate(c.begin(), c.begin() + best, c.end());
    return c;
}

std::optional<std::string> fault_of(const Corners& c, int width, int height) {
    const std::string mend = "; give them clockwise from the blank's top left, in pixels of the upright picture";
    if (!all_finite(c)) return "corners are not numbers" + mend;
    for (const PhotoPoint& p : c)
        if (p.x < 0 || p.y < 0 || p.x > width || p.y > height)
            return "a corner lies outside the picture of " + std::to_string(width) + " x " + std::to_string(height) +
                   " pixels" + mend;
    double longest = 0;
    for (int i = 0; i < 4; ++i) longest = std::max({longest, side(c, i), length(corner(c, i + 2) - corner(c, i))});
    int clockwise = 0;
    bool flat = longest < 2;
    for (int i = 0; i < 4; ++i) {
        const double turn = cross(corner(c, i + 1) - corner(c, i), corner(c, i + 2) - corner(c, i + 1));
        flat = flat || std::abs(turn) < 0.01 * longest * longest;
        clockwise += turn > 0 ? 1 : 0;
    }
    if (flat) return "three corners lie on one line or in one place" + mend;
    if (clockwise == 0) return "the corners run anticlockwise" + mend;
    if (clockwise == 2) return "the edges between the corners cross: they are in the wrong order" + mend;
    if (clockwise != 4) return "one corner lies inside the other three" + mend;
    const PhotoPoint right = c[1] - c[0] + c[2] - c[3];
    if (right.x < 0.5 * length(right)) return "the corners do not begin at the blank's top left" + mend;
    return std::nullopt;
}

}  // namespace loopread
