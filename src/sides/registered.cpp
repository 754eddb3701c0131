#include "loopread/sides/registered.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "loopread/base/require.h"
#include "sides/displacement.h"
#include "sides/features.h"

namespace loopread {
namespace {

constexpr int kFine = 2;          // raster pixels of a stitch and of a row
constexpr double kAgree = 0.4;    // correlation; chosen on drawn photos: right poses reach 0.5 to 0.98
constexpr double kPlain = 0.008;  // contrast in OKLab under which a picture has no pattern: lit unevenly it has
constexpr double kSurelyPatterned = 0.03;  // ... and from which it has one for sure
constexpr double kPosesAlike = 0.05;       // in correlation
constexpr int kWindowStitches = 12;        // chosen: some 600 pixels to correlate, where chance stays low
constexpr int kReach = 3;                  // stitches that edges laid on each other may be off

/// Shape as width over length; a stitch is wider than high.
double shape_of(CellCount cells) {
    constexpr double kWalePerCourse = 1.31;  // [Munden 1959]
    return cells.stitches * kWalePerCourse / cells.rows;
}

/// The turns that fit the shape; of a blank about square all four.
std::vector<QuarterTurn> possible_turns(const Image& moving, CellCount cells) {
    constexpr double kSquare = 0.2;  // in log shape: two strips stretched by a fifth
    const double own = std::log(shape_of(cells));
    const double moved = std::log(static_cast<double>(moving.columns()) / moving.rows());
    std::vector<QuarterTurn> turns;
    if (std::abs(own - moved) < std::abs(own + moved) + kSquare)
        turns.insert(turns.end(), {QuarterTurn::none, QuarterTurn::clockwise_180});
    if (std::abs(own + moved) < std::abs(own - moved) + kSquare)
        turns.insert(turns.end(), {QuarterTurn::clockwise_90, QuarterTurn::clockwise_270});
    return turns;
}

bool quarter(QuarterTurn turn) {
    return turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270;
}

ColourPlanes planes_in_pose(const Image& moving, QuarterTurn turn, int rows, int columns, double sigma) {
    return quarter(turn) ? turned(colour_planes(moving, columns, rows, sigma), turn)
                         : turned(colour_planes(moving, rows, columns, sigma), turn);
}

/// The best correlation of whole stitches within reach.
double agreement_of(const ColourPlanes& fixed, const ColourPlanes& moving) {
    const PlaneWindow whole{0, 0, fixed.rows(), fixed.columns()};
    double best = -1;
    for (int y = -kReach; y <= kReach; ++y)
        for (int x = -kReach; x <= kReach; ++x) best = std::max(best, correlation(fixed, moving, whole, {x, y}));
    return best;
}

struct Pose {
    QuarterTurn turn = QuarterTurn::none;
    double agreement = -1;
    double contrast = 0;
};

/// What is compared: everything, or only what changes within a third of the width, since slower changes may be light.
enum class Compared { all, fine };

ColourPlanes compared_part(ColourPlanes planes, Compared compared, double pixels_per_stitch, CellCount cells) {
    if (compared == Compared::all) return planes;
    return without_slow_changes(planes, pixels_per_stitch * std::max(4.0, cells.stitches / 3.0));
}

struct JudgedPoses {
    Compared compared = Compared::fine;
    double own_contrast = 0;
    std::vector<Pose> poses;  ///< the best first
};

JudgedPoses judged_poses(const Image& fixed, const Image& moving, CellCount cells) {
    const ColourPlanes whole = colour_planes(fixed, cells.rows, cells.stitches, 0.5);
    JudgedPoses out;
    ColourPlanes own = compared_part(whole, Compared::fine, 1, cells);
    if (contrast(own) < kPlain) {  // a design that has nothing finer is told by its slow changes
        out.compared = Compared::all;
        own = whole;
    }
    out.own_contrast = contrast(own);
    for (const QuarterTurn turn : possible_turns(moving, cells)) {
        const ColourPlanes other =
            compared_part(planes_in_pose(moving, turn, cells.rows, cells.stitches, 0.5), out.compared, 1, cells);
        out.poses.push_back({turn, agreement_of(own, other), contrast(other)});
    }
    std::stable_sort(out.poses.begin(), out.poses.end(),
                     [](const Pose& a, const Pose& b) { return a.agreement > b.agreement; });
    return out;
}

Agreement judged(const Pose& best, double own_contrast) {
    const double least = std::min(best.contrast, own_contrast);
    if (least < kPlain) return Agreement::nothing_told;
    if (best.agreement >= kAgree) return Agreement::agree;
    return least >= kSurelyPatterned ? Agreement::unlike : Agreement::nothing_told;
}

/// @param moving  in its pose
Image laid_on(const Image& fixed, const Image& moving, const Displacement& steps, CellCount cells) {
    constexpr double kLooks[] = {0.25, 0.75};
    const double columns = cells.stitches * kFine, rows = cells.rows * kFine;
    Image out(fixed.rows(), fixed.columns());
    for (int r = 0; r < out.rows(); ++r)
        for (int c = 0; c < out.columns(); ++c) {
            const double u = (c + 0.5) / out.columns(), v = (r + 0.5) / out.rows();
            const Displacement::Step step = steps.at(2 * u - 1, 2 * v - 1);
            LinearRgb sum;
            for (const double down : kLooks)
                for (const double right : kLooks)
                    sum += at(moving, ((c + right) / out.columns() + step.x / columns) * moving.columns(),
                              ((r + down) / out.rows() + step.y / rows) * moving.rows());
            out(r, c) = sum * 0.25;
        }
    return out;
}

void measure_shift(const Displacement& steps, RegisteredSides& out) {
    constexpr int kPlaces = 20;
    for (int j = 0; j <= kPlaces; ++j)
        for (int i = 0; i <= kPlaces; ++i) {
            const Displacement::Step step = steps.at(2.0 * i / kPlaces - 1, 2.0 * j / kPlaces - 1);
            const double shift = std::hypot(step.x, step.y) / kFine;
            out.mean_shift += shift / ((kPlaces + 1) * (kPlaces + 1));
            out.largest_shift = std::max(out.largest_shift, shift);
        }
}

}  // namespace

RegisteredSides registered(const Image& fixed, const Image& moving, CellCount cells) {
    require(!fixed.empty() && !moving.empty(), "there are two pictures");
    require(cells.stitches >= 4 && cells.rows >= 4, "there are stitches to correlate");
    const JudgedPoses judgement = judged_poses(fixed, moving, cells);
    const std::vector<Pose>& poses = judgement.poses;
    RegisteredSides out;
    out.agreement = judged(poses.front(), judgement.own_contrast);
    out.correlation = poses.front().agreement;
    out.next_best = poses.size() > 1 ? poses[1].agreement : -1;
    // Habit: turned over like a page, or whatever else comes nearest to it.
    const auto usual =
        std::min_element(poses.begin(), poses.end(), [](const Pose& a, const Pose& b) { return a.turn < b.turn; });
    out.either_pose = out.agreement == Agreement::agree && out.correlation - out.next_best < kPosesAlike;
    const bool by_habit =
        out.agreement != Agreement::agree || (out.either_pose && out.correlation - usual->agreement < kPosesAlike);
    out.turn = by_habit ? usual->turn : poses.front().turn;
    Displacement steps;
    if (out.agreement == Agreement::agree) {
        const int rows = cells.rows * kFine, columns = cells.stitches * kFine;
        const auto part = [&](ColourPlanes planes) {
            return compared_part(std::move(planes), judgement.compared, kFine, cells);
        };
        const ColourPlanes own = part(colour_planes(fixed, rows, columns, 1.0));
        const ColourPlanes other = part(planes_in_pose(moving, out.turn, rows, columns, 1.0));
        steps = found_displacement(own, other, {kWindowStitches * kFine, kWindowStitches * kFine},
                                   {kReach * kFine, kReach * kFine});
        out.correlation =
            std::max(out.correlation, correlation(own, displaced(other, steps), {0, 0, rows, columns}, {0, 0}));
        measure_shift(steps, out);
    }
    out.moved = laid_on(fixed, turned(moving, out.turn), steps, cells);
    return out;
}

}  // namespace loopread
