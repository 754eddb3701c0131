#pragma once

#include <vector>

#include "loopread/base/quantity.h"

namespace loopread {

/// A point or direction of the loop frame, in wale spacings: x along the course, y towards the later-knitted edge, z
/// out of plane with the technical back positive. Seen from the face this frame is left-handed.
struct LoopVector {
    double x = 0, y = 0, z = 0;

    LoopVector operator+(LoopVector o) const { return {x + o.x, y + o.y, z + o.z}; }
    LoopVector operator-(LoopVector o) const { return {x - o.x, y - o.y, z - o.z}; }
    LoopVector operator*(double f) const { return {x * f, y * f, z * f}; }
};
double dot(LoopVector a, LoopVector b);
LoopVector cross(LoopVector a, LoopVector b);
double norm(LoopVector v);
LoopVector unit(LoopVector v);

/// The two ratios that fix the form of a plain loop, whatever its size.
struct LoopProportions {
    double wale_per_course = 1.31;   ///< w / c, 1.31 in the fully relaxed state [Munden 1959]
    double length_per_wale = 4.199;  ///< l / w
};

/// Yarn visible in a fabric: w = 4 d [Peirce 1947]; wool blooms to fill its fabric.
inline constexpr double kVisibleDiameter = 0.25;
/// Shares of the loop's yarn, in the order it comes off: sinker arc, leg, needle arc, leg (they add to 1).
inline constexpr double kArcShare = 0.29;
inline constexpr double kLegShare = 0.21;

/// Centreline of one plain loop in wale spacings:
///   x(t) = (t + a sin 2t) / 2 pi,  y(t) = (H/2) cos t,  z(t) = (E/2) cos 2t,  a = 1.487, E = 0.40;
/// t = 0 is the top of the needle arc, |t| = pi/2 mid leg, |t| = pi the sinker arcs. H follows from the loop length.
/// Places along the yarn are counted in arc length from mid sinker (place 0, t = -pi) to mid sinker (place 1, t = pi);
/// places beyond go on into the neighbouring wale.
/// Source: [Crane 2023] Eq. 1, in real sizes.
class LoopShape {
public:
    /// @throws Error(usage) if the loop is shorter than the flattest curve of this kind (2.84 wale spacings)
    explicit LoopShape(LoopProportions proportions);

    LoopProportions proportions() const { return proportions_; }
    double course_spacing() const { return 1.0 / proportions_.wale_per_course; }
    double height() const { return height_; }
    double length() const { return proportions_.length_per_wale; }

    LoopVector point(double t) const;
    LoopVector tangent(double t) const;  ///< unit, in the direction of growing t
    double t_at(double place) const;
    double place_at(double t) const;

private:
    LoopProportions proportions_;
    double height_ = 0;
    std::vector<double> place_;  // place at equal steps of t over [-pi, pi]
};

/// Exact arc length of one loop of the given height, in wale spacings.
double loop_length_of_height(double height);
/// Arc length at height 0: no loop of this kind is shorter. About 2.84.
double least_loop_length();

/// Loop length that a fully relaxed plain fabric has at this stitch size: l = sqrt(23.1 w c). Source: [Munden 1959].
Millimetres relaxed_loop_length(Millimetres wale_spacing, Millimetres course_spacing);

/// l = 2c + w + 5.94 d. Source: [Peirce 1947], as quoted in [Fletcher 1952]; all in one unit.
double peirce_loop_length(double course_spacing, double wale_spacing, double diameter);

/// Diameter of a round yarn from its linear density: d = 0.03568 sqrt(tex / (packing x density)).
/// @param packing  fibre volume / yarn volume; 0.45 for relaxed plied sock yarn (range 0.35..0.65)
/// @param fibre_density  g/cm3; wool 1.31 [Morton 2008, table 5.1]
Millimetres yarn_diameter(Tex linear_density, double packing = 0.45, double fibre_density = 1.31);

}  // namespace loopread
