#include "loopread/loop/cell.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <tuple>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kBalls = 384;  // along one loop
constexpr int kAcross = 24;  // patches of the repeat along x ...
constexpr int kAlong = 18;   // ... and along y
constexpr std::size_t kPatches = std::size_t{kAcross} * kAlong;
constexpr double kTie = 1e-9;
constexpr double kNear = 0.75;  // from the middle of the repeat: balls within it can be the nearest to a gap

struct CrossSection {
    LoopVector out;   // +z projected into it
    LoopVector side;  // tangent x out
};

CrossSection cross_section(LoopVector tangent) {
    const LoopVector out = unit(LoopVector{0, 0, 1} - tangent * tangent.z);
    return {out, cross(tangent, out)};
}

int wrapped(int i, int n) {
    return ((i % n) + n) % n;
}

}  // namespace

LoopCell::LoopCell(const LoopShape& shape, int strands, double angle, double diameter)
    : shape_(shape), strands_(strands), angle_(angle) {
    require(strands == 1 || strands == 2, "a loop holds one strand or two");
    radius_ = strands == 1 ? diameter / 2 : diameter / (2 * std::numbers::sqrt2);
    for (int i = 0; i < kBalls; ++i) t_.push_back(shape_.t_at((i + 0.5) / kBalls));
    fill_buckets();
}

LoopVector LoopCell::strand_point(double t, int strand) const {
    const LoopVector middle = shape_.point(t);
    if (strands_ == 1) return middle;
    const CrossSection section = cross_section(shape_.tangent(t));
    const double sign = strand == 0 ? 1 : -1;
    return middle + (section.out * std::cos(angle_) + section.side * std::sin(angle_)) * (sign * radius_);
}

LoopVector LoopCell::strand_tangent(double t, int strand) const {
    if (strands_ == 1) return shape_.tangent(t);
    constexpr double kStep = 1e-4;  // of t: the error of the difference is far under a ball's spacing
    return unit(strand_point(t + kStep, strand) - strand_point(t - kStep, strand));
}

void LoopCell::fill_buckets() {
    const double c = shape_.course_spacing();
    buckets_.assign(kPatches, {});
    const auto patch = [](double share, int patches) {
        return std::clamp(static_cast<int>(std::floor(share * patches)), 0, patches - 1);
    };
    for (int strand = 0; strand < strands_; ++strand)
        for (int index = 0; index < kBalls; ++index) {
            const LoopVector p = strand_point(t_[static_cast<std::size_t>(index)], strand);
            for (int up = -3; up <= 3; ++up)
                for (int right = -3; right <= 3; ++right) {
                    const double x = p.x + right;
                    const double y = p.y + up * c;
                    if (std::abs(x) > kNear || std::abs(y) > kNear * c) continue;
                    const Ball ball{x,
                                    y,
                                    p.z,
                                    static_cast<std::int16_t>(right),
                                    static_cast<std::int16_t>(up),
                                    static_cast<std::int16_t>(strand),
                                    static_cast<std::int16_t>(index)};
                    balls_.push_back(ball);
                    if (std::abs(x) > 0.5 + radius_ || std::abs(y) > 0.5 * c + radius_) continue;
                    for (int row = patch((y - radius_) / c + 0.5, kAlong);
                         row <= patch((y + radius_) / c + 0.5, kAlong); ++row)
                        for (int column = patch(x - radius_ + 0.5, kAcross);
                             column <= patch(x + radius_ + 0.5, kAcross); ++column)
                            buckets_[static_cast<std::size_t>(row) * kAcross + static_cast<std::size_t>(column)]
                                .push_back(ball);
                }
        }
}

const LoopCell::Ball& LoopCell::nearest_in_plan(double x, double y) const {
    const auto plan = [&](const Ball& b) { return (b.x - x) * (b.x - x) + (b.y - y) * (b.y - y); };
    return *std::min_element(balls_.begin(), balls_.end(),
                             [&](const Ball& a, const Ball& b) { return plan(a) < plan(b); });
}

LoopCell::Query LoopCell::reduced(double x, double y) const {
    const double c = shape_.course_spacing();
    const int right = static_cast<int>(std::floor(x + 0.5));
    const int up = static_cast<int>(std::floor(y / c + 0.5));
    const double own_x = x - right;
    const double own_y = y - up * c;
    const int column = std::clamp(static_cast<int>((own_x + 0.5) * kAcross), 0, kAcross - 1);
    const int row = std::clamp(static_cast<int>((own_y / c + 0.5) * kAlong), 0, kAlong - 1);
    return {row * kAcross + column, own_x, own_y, right, up};
}

bool LoopCell::hidden(Side side, LoopVector surface_point) const {
    const Query query = reduced(surface_point.x, surface_point.y);
    const double square = radius_ * radius_;
    const double toward = side == Side::face ? 1 : -1;
    for (const Ball& ball : buckets_[static_cast<std::size_t>(query.bucket)]) {
        const double dx = query.x - ball.x;
        const double dy = query.y - ball.y;
        const double left = square - dx * dx - dy * dy;
        if (left > 0 && toward * ball.z - std::sqrt(left) < toward * surface_point.z - kTie) return true;
    }
    return false;
}

SeenYarn LoopCell::seen(Side side, double x, double y) const {
    const Query query = reduced(x, y);
    const double square = radius_ * radius_;
    const double toward = side == Side::face ? 1 : -1;
    const Ball* best = nullptr;
    double best_depth = std::numeric_limits<double>::infinity();
    const auto rank = [](const Ball& b) { return std::tuple(-b.up, b.right, b.strand, b.index); };
    for (const Ball& ball : buckets_[static_cast<std::size_t>(query.bucket)]) {
        const double dx = query.x - ball.x;
        const double dy = query.y - ball.y;
        const double plan = dx * dx + dy * dy;
        if (plan >= square) continue;
        const double depth = toward * ball.z - std::sqrt(square - plan);
        const bool tie = best && std::abs(depth - best_depth) <= kTie;
        if (tie ? rank(ball) < rank(*best) : depth < best_depth) {
            best = &ball;
            best_depth = depth;
        }
    }
    SeenYarn seen;
    const Ball& owner = best ? *best : nearest_in_plan(query.x, query.y);
    seen.right = owner.right + query.right;
    seen.up = owner.up + query.up;
    seen.strand = owner.strand;
    // Between balls: the foot of the perpendicular from the met point on the centreline.
    const double t = t_[static_cast<std::size_t>(owner.index)];
    const LoopVector tangent = strand_tangent(t, owner.strand);
    const double depth = best ? toward * best_depth : owner.z;
    const LoopVector from_ball{query.x - owner.x, query.y - owner.y, depth - owner.z};
    const double along = std::clamp(dot(from_ball, tangent) / shape_.length(), -0.5 / kBalls, 0.5 / kBalls);
    const double place = (owner.index + 0.5) / kBalls + along;
    seen.place = std::min(place, 1 - 1e-12);  // the last ball of a loop reaches its very end
    seen.depth = depth;
    LoopVector plan_side{-tangent.y, tangent.x, 0};
    const double plan_norm = std::hypot(plan_side.x, plan_side.y);
    if (plan_norm > 1e-9)
        seen.across =
            std::clamp(-(from_ball.x * plan_side.x + from_ball.y * plan_side.y) / (plan_norm * radius_), -1.0, 1.0);
    if (best) {
        seen.normal = unit(from_ball);
    } else {
        seen.outside = std::max(0.0, std::hypot(from_ball.x, from_ball.y) - radius_) + kTie;
        seen.normal = {0, 0, -toward};
    }
    return seen;
}

double LoopCell::share(Side side, int strand, int place) const {
    require(place >= 0 && place < kPlaces && strand >= 0 && strand < strands_, "the place and the strand exist");
    // Over all balls of the place, since what shows can be a narrow sliver; each looks in directions of its own, since
    // where one strand hides the other the limit lies in the same direction all along. On a ball's own middle no other
    // ball of the same yarn hides the point by its roundness.
    constexpr int kBallsAPlace = kBalls / kPlaces;
    constexpr int kDirectionsABall = kDirections / kBallsAPlace;
    int shown = 0;
    int looked = 0;
    for (int ball = place * kBallsAPlace; ball < (place + 1) * kBallsAPlace; ++ball) {
        const double t = t_[static_cast<std::size_t>(ball)];
        const LoopVector middle = strand_point(t, strand);
        const CrossSection section = cross_section(strand_tangent(t, strand));
        const double turn = (ball % kBallsAPlace + 0.5) / kBallsAPlace;
        for (int d = 0; d < kDirectionsABall; ++d, ++looked) {
            const double direction = 2 * std::numbers::pi * (d + turn) / kDirectionsABall;
            const LoopVector out = section.out * std::cos(direction) + section.side * std::sin(direction);
            const bool turned_to_us = side == Side::face ? out.z < 0 : out.z > 0;
            if (turned_to_us && !hidden(side, middle + out * radius_)) ++shown;
        }
    }
    return static_cast<double>(shown) / looked;
}

CellShares::CellShares(const LoopShape& shape, int strands) : strands_(strands) {
    const int angles = strands == 1 ? 1 : kAngles;
    tables_.resize(static_cast<std::size_t>(angles));
    const auto fill = [&](int angle) {
        const LoopCell cell(shape, strands, 2 * std::numbers::pi * angle / angles);
        for (const Side side : {Side::face, Side::back}) {
            Table& table = tables_[static_cast<std::size_t>(angle)][static_cast<std::size_t>(side)];
            for (int place = 0; place < LoopCell::kPlaces / 2; ++place) {
                const double share = cell.share(side, 0, place);
                table[static_cast<std::size_t>(place)] = share;
                table[static_cast<std::size_t>(LoopCell::kPlaces - 1 - place)] = share;
            }
        }
    };
    const auto fill_from = [&](int first) {
        for (int angle = first; angle < angles; angle += 2) fill(angle);
    };
    both([&] { fill_from(0); }, [&] { fill_from(1); });
}

double CellShares::share(Side side, int strand, double place, double angle) const {
    const auto interpolated = [&](const Table& table) {
        const double cell = (place - std::floor(place)) * LoopCell::kPlaces - 0.5;
        const int below = static_cast<int>(std::floor(cell));
        const double share = cell - below;
        const auto at = [&](int i) { return table[static_cast<std::size_t>(wrapped(i, LoopCell::kPlaces))]; };
        return at(below) * (1 - share) + at(below + 1) * share;
    };
    const auto angles = static_cast<int>(tables_.size());
    const double turns = angle / (2 * std::numbers::pi) + (strand == 0 ? 0.0 : 0.5);
    const double cell = (turns - std::floor(turns)) * angles;
    const int below = static_cast<int>(cell);
    const double share = cell - below;
    const auto table = [&](int i) -> const Table& {
        return tables_[static_cast<std::size_t>(i % angles)][static_cast<std::size_t>(side)];
    };
    return interpolated(table(below)) * (1 - share) + interpolated(table(below + 1)) * share;
}

}  // namespace loopread
