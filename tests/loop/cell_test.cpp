#include "loopread/loop/cell.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "loopread/loop/interlacing.h"

using namespace loopread;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr LoopProportions kRelaxed{1.31, 4.199};  // [Munden 1959], fully relaxed

bool within(double value, double expected, double tolerance) {
    return std::abs(value - expected) <= tolerance;
}

/// Calls look(x, y) over one repeat, at the middles of a fine grid.
template <class Look>
void over_repeat(const LoopShape& shape, int columns, Look look) {
    const int rows = static_cast<int>(columns * shape.course_spacing());
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column)
            look((column + 0.5) / columns - 0.5, ((row + 0.5) / rows - 0.5) * shape.course_spacing());
}

struct Shown {
    double open = 0;                                // per cent of the area
    double needle_arcs = 0, legs = 0, sinkers = 0;  // per cent of the area that shows yarn
};

Shown shown(const LoopCell& cell, Side side) {
    double gap = 0, needle = 0, leg = 0, sinker = 0;
    over_repeat(cell.shape(), 200, [&](double x, double y) {
        const SeenYarn seen = cell.seen(side, x, y);
        const double from_top = std::abs(seen.place - 0.5);
        (seen.outside > 0                       ? gap
         : from_top < kArcShare / 2             ? needle
         : from_top < kArcShare / 2 + kLegShare ? leg
                                                : sinker) += 1;
    });
    const double yarn = needle + leg + sinker;
    return {100 * gap / (gap + yarn), 100 * needle / yarn, 100 * leg / yarn, 100 * sinker / yarn};
}

/// The strand's own centreline at a place, from its definition.
LoopVector strand_centre(const LoopShape& shape, double place, int strands, int strand, double angle) {
    const double t = shape.t_at(place);
    if (strands == 1) return shape.point(t);
    const LoopVector tangent = shape.tangent(t);
    const LoopVector out = unit(LoopVector{0, 0, 1} - tangent * tangent.z);
    const double offset = (strand == 0 ? 1 : -1) * kVisibleDiameter / (2 * std::numbers::sqrt2);
    return shape.point(t) + (out * std::cos(angle) + cross(tangent, out) * std::sin(angle)) * offset;
}

// Each ball looks in directions of its own, which its mirror image does not share: along the edge of a shadow every
// ball of a place may see one direction more or less, on average far less than one.
constexpr double kSights = 6.5 / LoopCell::kDirections;
constexpr double kMeanSights = 0.5 / LoopCell::kDirections;

struct Difference {
    double worst = 0, sum = 0;
    int count = 0;
    void add(double difference) {
        worst = std::max(worst, std::abs(difference));
        sum += std::abs(difference);
        ++count;
    }
    double mean() const { return sum / count; }
};

bool same(const SeenYarn& a, const SeenYarn& b) {
    return a.right == b.right && a.up == b.up && a.strand == b.strand && a.place == b.place && a.depth == b.depth &&
           a.across == b.across && a.outside == b.outside && a.normal.x == b.normal.x && a.normal.y == b.normal.y &&
           a.normal.z == b.normal.z;
}

}  // namespace

TEST_SUITE("loop") {
    // Depth pictures of the tubes of [Crane 2023]'s curve, drawn apart from this code: per cent of the yarn that shows.
    TEST_CASE("the face shows mostly legs and the back mostly arcs, as pictures of the tubes do") {
        struct Row {
            double diameter;
            Side side;
            double open, needle_arcs, legs, sinkers;
        };
        constexpr Row kTable3d[] = {{0.25, Side::face, 10, 16, 68, 16},  {0.25, Side::back, 10, 43, 14, 43},
                                    {0.21, Side::face, 19, 18, 63, 18},  {0.21, Side::back, 19, 40, 20, 40},
                                    {0.175, Side::face, 30, 21, 59, 21}, {0.175, Side::back, 30, 37, 25, 37}};
        constexpr double kPerCent = 1.1;  // whole numbers, from pictures whose own edges cost as much again
        const LoopShape shape(kRelaxed);
        for (const Row& row : kTable3d) {
            CAPTURE(row.diameter);
            CAPTURE(static_cast<int>(row.side));
            const Shown found = shown(LoopCell(shape, 1, 0, row.diameter), row.side);
            CHECK(within(found.open, row.open, kPerCent));
            CHECK(within(found.needle_arcs, row.needle_arcs, kPerCent));
            CHECK(within(found.legs, row.legs, kPerCent));
            CHECK(within(found.sinkers, row.sinkers, kPerCent));
        }
    }

    TEST_CASE("at a crossing the face shows the newer leg over the old head, and the back the other way round") {
        const LoopShape shape(kRelaxed);
        const LoopCell cell(shape, 1, 0);
        // The yarn climbs by at most 0.6 of its length, so the surface met lies up to 0.6 radii further along: 0.018
        // loops.
        constexpr double kPlace = 0.018;
        const auto found = crossings(shape);
        REQUIRE(found.size() == 4);
        for (const Crossing& crossing : found)
            for (const int wales : {-2, 0, 3})
                for (const int courses : {-1, 0, 2}) {
                    CAPTURE(crossing.older_t);
                    CAPTURE(wales);
                    CAPTURE(courses);
                    const LoopVector at = shape.point(crossing.older_t);
                    const double x = at.x + wales;
                    const double y = at.y + courses * shape.course_spacing();
                    const bool newer_in_front = crossing.z_gap < 0;
                    const SeenYarn front = cell.seen(Side::face, x, y);
                    const SeenYarn behind = cell.seen(Side::back, x, y);
                    const SeenYarn& newer = newer_in_front ? front : behind;
                    const SeenYarn& older = newer_in_front ? behind : front;
                    CHECK(newer.right == wales);
                    CHECK(newer.up == courses + 1);
                    CHECK(within(newer.place, shape.place_at(crossing.newer_t), kPlace));
                    CHECK(older.right == wales);
                    CHECK(older.up == courses);
                    CHECK(within(older.place, shape.place_at(crossing.older_t), kPlace));
                }
    }

    TEST_CASE("what is seen lies on the strand that owns it, and faces the viewer") {
        // The met point is on the ball of a place at most half a ball's spacing, 0.006, from the one reported.
        constexpr double kOnSurface = 0.006;
        const LoopShape shape(kRelaxed);
        for (const int strands : {1, 2}) {
            const double angle = 0.7;
            const double radius = strands == 1 ? kVisibleDiameter / 2 : kVisibleDiameter / (2 * std::numbers::sqrt2);
            const LoopCell cell(shape, strands, angle);
            for (const Side side : {Side::face, Side::back}) {
                double worst = 0;
                bool faces_viewer = true;
                bool in_range = true;
                over_repeat(shape, 150, [&](double x, double y) {
                    const SeenYarn seen = cell.seen(side, x, y);
                    in_range = in_range && seen.place >= 0 && seen.place < 1 && std::abs(seen.across) <= 1;
                    if (seen.outside > 0) return;
                    const LoopVector owner{static_cast<double>(seen.right), seen.up * shape.course_spacing(), 0};
                    const LoopVector centre = strand_centre(shape, seen.place, strands, seen.strand, angle) + owner;
                    worst = std::max(worst, std::abs(norm(LoopVector{x, y, seen.depth} - centre) - radius));
                    faces_viewer = faces_viewer && (side == Side::face) == (seen.normal.z < 0) &&
                                   within(norm(seen.normal), 1, 1e-9);
                });
                CAPTURE(strands);
                CAPTURE(static_cast<int>(side));
                CHECK(worst < kOnSurface);
                CHECK(faces_viewer);
                CHECK(in_range);
            }
        }
    }

    TEST_CASE("where one loop's yarn becomes the next loop's, place and owner change together") {
        const LoopShape shape(kRelaxed);
        const LoopCell cell(shape, 1, 0);
        const double y = -shape.height() / 2;
        double worst = 0;
        for (int i = -200; i <= 200; ++i) {
            const double x = 0.5 + i * 1e-5;
            for (const double row : {y - 0.1, y, y + 0.1}) {
                const SeenYarn seen = cell.seen(Side::back, x, row);
                REQUIRE(seen.outside == 0);
                worst = std::max(worst, std::abs(shape.point(shape.t_at(seen.place)).x + seen.right - x));
            }
        }
        CHECK(worst < 0.01);  // the spacing of the balls
    }

    TEST_CASE("across says which side of its own way the yarn is met on") {
        const LoopShape shape(kRelaxed);
        const LoopCell cell(shape, 1, 0);
        const double leg_x = shape.point(-kPi / 2).x;  // the left leg runs up, the right one down
        CHECK(cell.seen(Side::face, leg_x - 0.06, 0).across < -0.3);
        CHECK(cell.seen(Side::face, leg_x + 0.06, 0).across > 0.3);
        CHECK(within(cell.seen(Side::face, leg_x, 0).across, 0, 0.05));
        CHECK(cell.seen(Side::face, -leg_x - 0.06, 0).across > 0.3);
        CHECK(cell.seen(Side::face, -leg_x + 0.06, 0).across < -0.3);
    }

    TEST_CASE("a gap takes the yarn nearest in plan") {
        const LoopShape shape(kRelaxed);
        const LoopCell cell(shape, 1, 0, 0.175);
        int gaps = 0;
        over_repeat(shape, 30, [&](double x, double y) {
            const SeenYarn seen = cell.seen(Side::face, x, y);
            if (seen.outside <= 0) return;
            ++gaps;
            double nearest = 10;
            for (int up = -2; up <= 2; ++up)
                for (int i = -500; i < 1000; ++i) {
                    const LoopVector p = shape.point(shape.t_at(i / 500.0));
                    nearest = std::min(nearest, std::hypot(p.x - x, p.y + up * shape.course_spacing() - y));
                }
            const LoopVector owner = shape.point(shape.t_at(seen.place));
            const double met = std::hypot(owner.x + seen.right - x, owner.y + seen.up * shape.course_spacing() - y);
            CHECK(within(met, nearest, 0.006));
            CHECK(within(seen.outside, nearest - 0.175 / 2, 0.001));
        });
        CHECK(gaps > 50);
    }

    TEST_CASE("a leg with nothing before it shows half of itself, and no place more") {
        for (const double ratio : {1.15, 1.31, 1.45}) {
            CAPTURE(ratio);
            const LoopCell cell(LoopShape({ratio, std::sqrt(23.1 / ratio)}), 1, 0);
            for (const int mid_leg : {15, 16, 47, 48}) CHECK(cell.share(Side::face, 0, mid_leg) == 0.5);
            for (const int top : {31, 32}) CHECK(cell.share(Side::back, 0, top) == 0.5);
        }
        for (const double angle : {0.0, 1.0, 2.5, 4.0}) {
            CAPTURE(angle);
            const LoopCell cell(LoopShape(kRelaxed), 2, angle);
            for (int place = 0; place < LoopCell::kPlaces; ++place)
                for (const int strand : {0, 1}) {
                    CHECK(cell.share(Side::face, strand, place) <= 0.5);
                    CHECK(cell.share(Side::back, strand, place) <= 0.5);
                    CHECK(cell.share(Side::face, strand, place) + cell.share(Side::back, strand, place) <= 1);
                }
        }
    }

    TEST_CASE("of two strands in line with the eye the near one hides the far one") {
        const LoopShape shape(kRelaxed);
        const LoopCell behind(shape, 2, 0);  // strand 1 towards the back
        const LoopCell before(shape, 2, kPi);
        for (const int mid_leg : {15, 16, 47, 48}) {
            CHECK(behind.share(Side::face, 0, mid_leg) == 0);
            CHECK(behind.share(Side::face, 1, mid_leg) == 0.5);
            CHECK(before.share(Side::face, 0, mid_leg) == 0.5);
            CHECK(before.share(Side::face, 1, mid_leg) == 0);
        }
        const LoopCell beside(shape, 2, kPi / 2);
        for (const int mid_leg : {15, 16, 47, 48})
            for (const int strand : {0, 1}) CHECK(within(beside.share(Side::face, strand, mid_leg), 0.5, 0.05));
    }

    TEST_CASE("a quarter turn puts strand 1 inside its loop and minus a quarter outside, seen from the face") {
        const LoopShape shape(kRelaxed);
        const double leg_x = shape.point(-kPi / 2).x;
        const double off = kVisibleDiameter / (2 * std::numbers::sqrt2);
        // Left leg: tangent y, so tangent x (+z) points along +x, which is into the loop; the right leg is its mirror
        // image.
        for (const double sign : {1.0, -1.0}) {
            const LoopCell cell(shape, 2, sign * kPi / 2);
            CHECK(cell.seen(Side::face, leg_x + sign * off, 0).strand == 0);
            CHECK(cell.seen(Side::face, leg_x - sign * off, 0).strand == 1);
            CHECK(cell.seen(Side::face, -leg_x - sign * off, 0).strand == 0);
            CHECK(cell.seen(Side::face, -leg_x + sign * off, 0).strand == 1);
        }
    }

    TEST_CASE("place p shows what place 1 - p shows, and strand 2 what strand 1 shows half a turn on") {
        const LoopShape shapes[] = {LoopShape(kRelaxed), LoopShape({1.15, 4.482})};
        for (const LoopShape& shape : shapes)
            for (const double angle : {0.0, 0.9, -0.9, 2.2}) {
                CAPTURE(shape.course_spacing());
                CAPTURE(angle);
                const LoopCell cell(shape, 2, angle);
                const LoopCell opposite(shape, 2, angle + kPi);
                Difference mirrored;
                double turned = 0;
                for (const Side side : {Side::face, Side::back})
                    for (int place = 0; place < LoopCell::kPlaces; ++place) {
                        const double share = cell.share(side, 0, place);
                        mirrored.add(share - cell.share(side, 0, LoopCell::kPlaces - 1 - place));
                        turned = std::max(turned, std::abs(share - opposite.share(side, 1, place)));
                    }
                CHECK(mirrored.worst < kSights);
                CHECK(mirrored.mean() < kMeanSights);
                CHECK(turned < 1e-12);
            }
    }

    TEST_CASE("the table of shares agrees with the cell at its angles, and repeats itself") {
        const LoopShape shape(kRelaxed);
        for (const int strands : {1, 2}) {
            const CellShares shares(shape, strands);
            CHECK(shares.strands() == strands);
            for (const int step : {0, 3, 9}) {
                const double angle = 2 * kPi * step / CellShares::kAngles;
                CAPTURE(strands);
                CAPTURE(step);
                const LoopCell cell(shape, strands, angle);
                Difference from_cell, from_repeat;
                for (const Side side : {Side::face, Side::back})
                    for (int strand = 0; strand < strands; ++strand)
                        for (int place = 0; place < LoopCell::kPlaces; ++place) {
                            const double at = (place + 0.5) / LoopCell::kPlaces;
                            const double share = shares.share(side, strand, at, angle);
                            from_cell.add(share - cell.share(side, strand, place));
                            from_repeat.add(share - shares.share(side, strand, at + 5, angle - 4 * kPi));
                        }
                CHECK(from_cell.worst < kSights);
                CHECK(from_cell.mean() < kMeanSights);
                CHECK(from_repeat.worst < 1e-9);
            }
        }
        const CellShares shares(shape, 2);
        const double angle = 2 * kPi * 2.5 / CellShares::kAngles;  // half way between two of the table's angles
        const double mean = 0.5 * (shares.share(Side::back, 0, 0.1, angle - kPi / CellShares::kAngles) +
                                   shares.share(Side::back, 0, 0.1, angle + kPi / CellShares::kAngles));
        CHECK(within(shares.share(Side::back, 0, 0.1, angle), mean, 1e-9));
    }

    TEST_CASE("the same loop is seen the same, to the bit, and equal depths go to the lower wale and place") {
        const LoopShape shape(kRelaxed);
        for (const int strands : {1, 2}) {
            const LoopCell one(shape, strands, 0.4);
            const LoopCell two(shape, strands, 0.4);
            bool alike = true;
            for (const Side side : {Side::face, Side::back})
                over_repeat(shape, 80, [&](double x, double y) {
                    alike = alike && same(one.seen(side, x, y), two.seen(side, x, y));
                });
            CHECK(alike);
        }
        // On the mirror line through the needle arc the balls either side are equally near.
        const LoopCell cell(shape, 1, 0);
        CHECK(cell.seen(Side::back, 0, shape.height() / 2).place <= 0.5);
        // Half way between two wales the sinker arc's end of the left loop wins.
        CHECK(cell.seen(Side::back, 0.5, -shape.height() / 2).right == 0);
        CHECK(cell.seen(Side::back, -0.5, -shape.height() / 2).right == -1);
    }

    TEST_CASE("a loop holds one strand or two, and places end at the last one") {
        const LoopShape shape(kRelaxed);
        CHECK_THROWS_AS(LoopCell(shape, 0, 0), std::logic_error);
        CHECK_THROWS_AS(LoopCell(shape, 3, 0), std::logic_error);
        const LoopCell cell(shape, 1, 0);
        CHECK_THROWS_AS(cell.share(Side::face, 1, 0), std::logic_error);
        CHECK_THROWS_AS(cell.share(Side::face, 0, LoopCell::kPlaces), std::logic_error);
        CHECK_THROWS_AS(cell.share(Side::face, 0, -1), std::logic_error);
    }
}
