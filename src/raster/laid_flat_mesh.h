#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "loopread/shape/gauge.h"
#include "loopread/shape/rounds.h"

namespace loopread {

/// A place on the table: centimetres, x right, y down.
struct FlatPoint {
    double x = 0, y = 0;

    FlatPoint operator+(FlatPoint o) const { return {x + o.x, y + o.y}; }
    FlatPoint operator-(FlatPoint o) const { return {x - o.x, y - o.y}; }
    FlatPoint operator*(double f) const { return {x * f, y * f}; }
};
inline FlatPoint between(FlatPoint from, FlatPoint to, double share) {
    return from * (1 - share) + to * share;
}
inline double dot(FlatPoint a, FlatPoint b) {
    return a.x * b.x + a.y * b.y;
}
inline double cross(FlatPoint a, FlatPoint b) {
    return a.x * b.y - a.y * b.x;
}
double length(FlatPoint v);

inline constexpr int kBentLineSamples = 24;

/// Points at equal shares of a line that stitches sit along.
using FlatLine = std::vector<FlatPoint>;
FlatPoint at(const FlatLine& line, double share);
FlatLine straight_line(FlatPoint from, FlatPoint to);
FlatLine turned_round(FlatLine line);

/// Part of a round that lies towards us: its stitches share the strip between two lines evenly.
/// Both lines run the way columns are counted: to the left, with the knitting going up.
struct FlatPiece {
    std::size_t round = 0;
    FlatLine begin;             ///< where the round starts from, the older edge
    FlatLine end;               ///< the edge knitted last
    std::vector<int> stitches;  ///< of the round, in the order of their columns
    int first_column = 0;       ///< of the first of them, for the ribs
    double rib_begin = 0;       ///< how far ribs draw the columns together at either line, 0..1
    double rib_end = 0;
};

/// The column of a purl stitch of k2 p2.
inline bool purl_column(int column) {
    return column % 4 >= 2;
}

/// An upright rectangle.
struct FlatBounds {
    FlatPoint least, most;
};

/// One stitch as a quadrilateral, corners as its V stands upright.
struct FlatStitch {
    FlatPoint top_left, top_right, bottom_right, bottom_left;
    std::size_t round = 0;
    int stitch = 0;   ///< of its round, in the order of knitting
    int in_rib = -1;  ///< place within a rib of four; -1: not of a ribbed round

    /// Shows its purl side.
    bool purl() const { return in_rib >= 0 && purl_column(in_rib); }
    std::array<FlatPoint, 4> corners() const { return {top_left, top_right, bottom_right, bottom_left}; }
    FlatPoint at(double right, double down) const {
        return between(between(top_left, top_right, right), between(bottom_left, bottom_right, right), down);
    }
    /// Positive unless the stitch is mirrored or folded over.
    double area() const { return 0.5 * (cross(top_right - bottom_left, bottom_right - top_left)); }
    bool holds(FlatPoint point) const;
    FlatBounds bounds() const;
};

/// A garment laid out.
struct FlatMesh {
    std::vector<FlatStitch> stitches;
    FlatPoint first_round;
    std::vector<FlatPoint> round_middles;  ///< of the edge that each round leaves, on the side towards us
    std::optional<FlatPoint> heel, toe, cuff;
    /// For each round the column at the fold: stitches so many columns to either side lie over each other.
    std::vector<int> folds;
};

FlatMesh flat_mesh(const Garment& garment, const Gauge& gauge);

/// The mesh with every point moved.
template <class Move>
FlatMesh moved(FlatMesh mesh, Move move) {
    for (FlatStitch& s : mesh.stitches)
        for (FlatPoint* p : {&s.top_left, &s.top_right, &s.bottom_right, &s.bottom_left}) *p = move(*p);
    for (FlatPoint& p : mesh.round_middles) p = move(p);
    mesh.first_round = move(mesh.first_round);
    for (auto* p : {&mesh.heel, &mesh.toe, &mesh.cuff})
        if (*p) *p = move(**p);
    return mesh;
}

/// Whether this garment is laid as a sock.
bool is_sock(const Garment& garment);
FlatMesh sock_mesh(const Garment& garment, const Gauge& gauge);
/// Rounds on top of each other, each centred.
FlatMesh stacked_mesh(const Garment& garment, const Gauge& gauge);

/// The rectangle around all stitches.
FlatBounds bounds(const std::vector<FlatStitch>& stitches);

/// Adds a piece's stitches.
void add_piece(FlatMesh& mesh, const FlatPiece& piece, const Garment& garment);

/// How far ribs draw columns together along each line between rounds: in full at ribbed rounds, fading out over a few
/// plain ones. rounds.size() + 1 values.
std::vector<double> rib_strengths(const std::vector<Round>& rounds);

/// Values smoothed with a bell of so many places, ends held.
std::vector<double> smoothed(const std::vector<double>& values, double places);

/// From 0 to 1, level at both ends.
double eased(double share);

}  // namespace loopread
