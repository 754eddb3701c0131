#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "raster/laid_flat_mesh.h"
#include "raster/laid_flat_sock_rounds.h"

// A sock on its side, seen from above: x from the back of the leg to its front, y from the cuff down, the middle of the
// heel line (where heel, leg, sole and instep meet at the side: the corner) at the origin. Lines run from the back (the
// fold at the middle of heel and sole) to the front. What is said about the cuff-down sock holds for the other one with
// its rounds in reverse.
//
// Leg, heel and foot have more angle between them at the corner than a table has: leg and foot are each a straight tube
// (180 degrees), and the heel adds its own. So the rounds next to the heel bend, and straighten out along leg and foot.

namespace loopread {

/// How far the lines at the heel are bent up out of the level, and how far below it the foot points.
struct Bend {
    double back = 0, front = 0, foot = 0;
};

/// The leg, straight above and bent at the heel.
class LegLines {
public:
    LegLines(const Garment& garment, const SockRounds& parts, double half, double row);

    int last() const { return last_; }
    Bend bend() const { return bend_; }
    double rib(int line) const { return ribs_[static_cast<std::size_t>(line)]; }

    /// @param across  -1 at the back, 0 at the side, 1 at the front
    FlatPoint point(int line, double across) const;
    FlatLine back(int line) const { return sampled(line, -1, 0); }
    FlatLine front(int line) const { return sampled(line, 0, 1); }

private:
    FlatLine sampled(int line, double from, double to) const;

    double half_, row_;
    int last_, bends_over_ = 0;
    Bend bend_;
    std::vector<double> widths_, ribs_;
};

/// Where the foot begins: its first line in three stretches, each shared evenly by its stitches.
struct FootStart {
    FlatLine sole, side, front;
};

/// Flap and turned heel, rotated with the back of the leg.
class FlapLines {
public:
    FlapLines(const Garment& garment, const SockRounds& parts, double stitch, double row, double bend);

    FlatLine flap(int line) const;
    /// Line 0 lies along the end of the flap, the last one is where the sole begins.
    FlatLine turn(int line) const;
    FlatLine edge() const { return {turned({0, depth_}), turned({0, 0})}; }

private:
    /// x of the fold down the middle of the heel.
    double fold(double y) const;
    FlatPoint turned(FlatPoint p) const;

    double half_, depth_, first_ = 0, last_, bend_, rows_, turns_;
};

/// A heel of lines that meet on a slant through its middle: of short rows, or of rounds that close an opening.
class WedgeLines {
public:
    /// @param lines  on either side of the slant
    /// @param tip    half of the stitches that are left at its end, as a width
    WedgeLines(double half, double bend, int lines, double tip);
    FlatLine towards_leg(int line) const { return {fold(0.5 * line / lines_), slant(line)}; }
    FlatLine towards_sole(int line) const { return {fold(1 - 0.5 * line / lines_), slant(line)}; }
    FlatPoint tip() const { return fold(0.5); }

private:
    /// Outline of the heel, from the leg (0) to the sole (1).
    FlatPoint fold(double share) const;
    FlatPoint slant(int line) const;
    FlatPoint ray(double share) const;

    double half_, bend_, lines_, slant_ = 0;
};

/// Gusset, foot and toe: rounds across a straight axis, bent at the heel.
class FootLines {
public:
    FootLines(const Garment& garment, const SockRounds& parts, FootStart start, double stitch, double row);

    int last() const { return static_cast<int>(bands_.size()); }
    const Round& band(int line) const { return bands_[static_cast<std::size_t>(line)]; }

    FlatLine sole(double line) const { return sampled(line, 0); }
    FlatLine side(double line) const { return sampled(line, 1); }
    FlatLine front(double line) const { return sampled(line, 2); }
    /// Sole and side as one line of a plain round, which begins with the sole's stitches.
    FlatLine back(double line) const;

private:
    /// Widths of the lines, and what of them is back and sole: the means of the rounds on either side.
    void set_lines(double stitch);
    void widen_toe();
    void set_axis(double usual_down);

    /// A foot pointed higher than its first line faces gathers the instep; a short one has no room for that, and points
    /// lower.
    double turned_down(FlatPoint first_line, double usual_down) const;

    static double value(const std::vector<double>& values, double line);
    /// Place across the straight round, from the sole's fold (0) to the front (1).
    double across(double line, int stretch, double share) const;
    FlatPoint straight(double line, double across_share) const;
    /// How far the middle of a line is ahead of its ends, so that the toe ends round.
    double rounding(double line) const;
    FlatPoint point(double line, int stretch, double share) const;
    FlatLine sampled(double line, int stretch) const;

    FootStart start_;
    double row_, width_;
    double sole_stitches_ = 0, quarter_ = 0;
    std::vector<Round> bands_;
    std::vector<double> widths_, backs_, soles_;  // by line; shares of what is seen, and of the back
    std::array<FlatLine, 3> off_;                 // the first line less the straight one
    FlatPoint origin_, along_, up_;
    int toe_from_ = 0, bends_over_ = 0;
};

}  // namespace loopread
