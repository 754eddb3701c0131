#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "loopread/table/pictures.h"
#include "loopread/table/table.h"
#include "loopread/unravel/order.h"
#include "loopread/yarn/reduced.h"

namespace loopread {

/// A loop of the blank, where it lies on the painted side.
struct BlankLoop {
    int row = 0;     ///< from 0, at the ravel edge
    int stitch = 0;  ///< from 0, across the painted side from its left
    Layer layer = Layer::painted;
    double x_mm = 0, y_mm = 0;  ///< its middle
};

/// A stitch of plain knitting.
struct PlainStitch {
    int round = 0, stitch = 0;  ///< from 0, in the order knitted
};

/// A stitch of the sock.
struct SockStitch {
    int round = 0, stitch = 0;  ///< from 0
    Section section = Section::plain;
};

/// From blank to yarn to knitting and back. Yarn is counted in mm from the end that came off the blank first.
class TablePlaces {
public:
    explicit TablePlaces(const DyeTable& table);

    /// The loop under a point of the painted side; nothing beyond its edges.
    std::optional<BlankLoop> loop_under(double x_mm, double y_mm) const;
    /// The loop that a place of the yarn came from, held within it.
    BlankLoop loop_of(double yarn_mm) const;
    struct Stretch {
        double from_mm = 0, to_mm = 0;
    };
    Stretch yarn_of(const BlankLoop& loop) const;

    /// Nothing where the yarn is left over.
    std::optional<PlainStitch> plain_stitch(double yarn_mm) const;
    std::optional<SockStitch> sock_stitch(double yarn_mm) const;
    /// Nothing where there is no such stitch.
    std::optional<Stretch> yarn_of(const PlainStitch& stitch) const;

    /// "row 41 of 214, stitch 12: in the sock, round 31 (leg) of ball A and ball B".
    std::string in_words(const BlankLoop& loop) const;

    double yarn_length_mm() const { return length_mm_; }

private:
    double knitted_mm(double yarn_mm) const { return from_far_ ? length_mm_ - yarn_mm : yarn_mm; }
    std::size_t index_of(const BlankLoop& loop) const;

    const DyeTable& table_;
    BlankLayout layout_;
    std::vector<LoopPlace> order_;
    std::vector<std::size_t> index_;  // [course][column][layer] in the order
    double length_mm_ = 0;
    bool from_far_ = false;
};

/// Where the yarn lies in a sock laid flat, stitch by stitch; the slight unevenness it is drawn with left out.
class SockPlaces {
public:
    /// On the table, cm from the middle of the sock's picture to the right and down.
    struct Point {
        double x_cm = 0, y_cm = 0;
    };
    /// Yarn in mm from the end that is knitted first; nothing beside the sock, nor where it was not reached.
    std::optional<double> knitted_mm(const DyeTable& table, Point point);
    /// Nothing where that stitch lies underneath.
    std::optional<Point> point_of(const DyeTable& table, double knitted_mm);

private:
    void bring_up_to_date(const DyeTable& table);
    struct Stitch {
        long long number = 0;         ///< in the order knitted
        double x[4] = {}, y[4] = {};  ///< corners
        double least_x = 0, least_y = 0, most_x = 0, most_y = 0;
    };
    std::uint64_t version_ = 0;
    std::vector<Stitch> stitches_;  ///< those on top
};

/// What is left of a ball tells how far its knitter has come.
struct Weighed {
    double used_m = 0, left_m = 0;
    BlankLoop loop;
    std::optional<SockStitch> sock;
    std::optional<PlainStitch> plain;
    struct Fleck {
        LinearRgb colour;
        std::string name;
    };
    struct Coming {
        LinearRgb colour;
        std::string name;
        std::optional<Fleck> flecked_with;  ///< what else is in it, in stretches too short to be a colour of their own
        double length_mm = 0;
        double rounds = 0;
    };
    std::vector<Coming> coming;  ///< the next few colours, as a knitter sees them
    std::string words;
};
struct BallOnScale {
    int ball = 1;
    double grams_left = 0, grams_full = 50;
};
/// @throws Error(usage) for a ball that is not there, or one that weighs more than a full one
Weighed weighed(const DyeTable& table, const BallOnScale& ball);

}  // namespace loopread
