#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "loopread/base/grid.h"
#include "loopread/loop/shape.h"

namespace loopread {

/// Technical sides of plain fabric. The knit side is the face, the purl side the back.
enum class Side : std::uint8_t { face, back };

/// What the eye meets at one point of the fabric.
struct SeenYarn {
    int right = 0;       ///< owning loop, in wales to the right of the repeat's own loop (seen from the face)
    int up = 0;          ///< owning loop, in courses towards the later-knitted edge
    int strand = 0;      ///< 0 or 1
    double place = 0;    ///< along that loop's yarn, from mid sinker, [0, 1), travelling to the right
    double depth = 0;    ///< z of the surface, wale spacings
    double across = 0;   ///< where across the yarn's visible width, -1 (left of travel) to 1
    LoopVector normal;   ///< outward, unit
    double outside = 0;  ///< 0 on yarn; in a gap the distance to the nearest yarn, wale spacings
};

/// One repeat (one wale by one course) of the interlocked tubes, periodic both ways: who is visible where, and how much
/// of the yarn's surface each side shows.
///
/// A tube is the union of balls along its centreline, so the surface met by a line of sight is that of the nearest
/// ball: exact, up to the spacing of the balls (384 a loop and strand, under 1.5e-4 wale spacings of depth). Depths
/// within 1e-9 are ties; the lower (course, wale, strand, place) wins.
class LoopCell {
public:
    static constexpr int kPlaces = 64;      ///< places at which shares are computed
    static constexpr int kDirections = 48;  ///< directions round the yarn at each place

    /// @param strands  1, or 2 strands of radius d / (2 sqrt 2) side by side
    /// @param angle    radians, of strand 1 about the loop's centreline, from +z projected into the cross-section:
    ///                 0 = strand 1 towards the back; positive turns it towards tangent x (+z)
    LoopCell(const LoopShape& shape, int strands, double angle, double diameter = kVisibleDiameter);

    /// What a line of sight meets at (x, y), measured from the middle of the repeat's own loop (mid-legs).
    /// In a gap: the nearest yarn in plan, with `outside` over 0.
    SeenYarn seen(Side side, double x, double y) const;

    /// Part of the round surface of a strand that a side shows over place i / kPlaces to (i + 1) / kPlaces, looked at
    /// in kDirections directions round the yarn; at most 0.5, and face + back <= 1.
    double share(Side side, int strand, int place) const;

    const LoopShape& shape() const { return shape_; }
    int strands() const { return strands_; }

private:
    struct Ball {
        double x, y, z;
        std::int16_t right, up, strand, index;
    };
    struct Query {
        int bucket;
        double x, y;
        int right, up;
    };
    Query reduced(double x, double y) const;
    LoopVector strand_point(double t, int strand) const;
    LoopVector strand_tangent(double t, int strand) const;  // a strand that winds does not run along the centreline
    void fill_buckets();
    const Ball& nearest_in_plan(double x, double y) const;
    bool hidden(Side side, LoopVector surface_point) const;

    LoopShape shape_;
    int strands_ = 1;
    double angle_ = 0;
    double radius_ = 0;
    std::vector<double> t_;                   // parameter of ball i
    std::vector<Ball> balls_;                 // all that reach the repeat or lie near it
    std::vector<std::vector<Ball>> buckets_;  // balls that can be met in each patch of the repeat
};

/// Shares for every winding angle: 16 cells, computed once, interpolated between.
///
/// Two symmetries save three quarters of the work: the loop is its own mirror image, so place p shows what place 1 - p
/// shows, and strand 2 at an angle is strand 1 half a turn on.
class CellShares {
public:
    static constexpr int kAngles = 16;

    CellShares(const LoopShape& shape, int strands);

    /// @param place  from mid sinker, any real number (periodic), travelling to the right seen from the face
    /// @param angle  radians, as for LoopCell
    double share(Side side, int strand, double place, double angle) const;
    int strands() const { return strands_; }

private:
    using Table = std::array<double, LoopCell::kPlaces>;
    int strands_ = 1;
    std::vector<std::array<Table, 2>> tables_;  // [angle][side], of strand 1
};

}  // namespace loopread
