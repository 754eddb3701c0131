#include "photo/corners_edges.h"

#include <cmath>
#include <cstddef>

#include "loopread/base/random.h"
#include "photo/corners_pieces.h"

namespace loopread::corner_search {
namespace {

constexpr double kStep = 0.5;  // pixels
constexpr double kJustIn = 4;  // pixels inside an edge: cloth

SidePoint from_side(int which, PhotoPoint p) {
    switch (which) {
        case 0:
            return {p.x, p.y};
        case 1:
            return {p.y, 1 - p.x};
        case 2:
            return {1 - p.x, 1 - p.y};
        default:
            return {1 - p.y, p.x};
    }
}

struct Profile {
    const Work& work;
    const Unlikeness& unlike;
    const cv::Mat1b& piece;
    PhotoPoint start, inwards;

    PhotoPoint at(double t) const { return start + inwards * t; }
    double unshaded(double t) const { return sample(unlike.unshaded, at(t)); }
    double plain(double t) const { return sample(unlike.plain, at(t)); }
    cv::Vec3f light(double from, double to) const {
        cv::Vec3f sum;
        int count = 0;
        for (double t = from; t <= to + 1e-9; t += kStep, ++count) sum += sample(work.light, at(t));
        return sum / static_cast<float>(count);
    }
    double mean_unshaded(double from, double to) const {
        double sum = 0;
        int count = 0;
        for (double t = from; t <= to + 1e-9; t += kStep, ++count) sum += unshaded(t);
        return sum / count;
    }
};

/// Half way between the light outside and inside, near t: where a blurred edge really is.
double half_way(const Profile& profile, double t) {
    const cv::Vec3f outside = profile.light(t - 4, t - 2), inside = profile.light(t + 2.5, t + 5);
    const cv::Vec3f rise = inside - outside;
    const float size = rise.dot(rise);
    if (size < 1e-8F) return t;
    const auto part = [&](double u) {
        return static_cast<double>((sample(profile.work.light, profile.at(u)) - outside).dot(rise) / size);
    };
    double before = part(t - 3);
    for (double u = t - 3 + kStep; u <= t + 4; u += kStep) {
        const double now = part(u);
        if (before < 0.5 && now >= 0.5) return u - kStep * (now - 0.5) / (now - before);
        before = now;
    }
    return t;
}

/// The first place from outside where cloth begins; the piece, from which threads have been taken, says what is cloth.
Station station_at(const Profile& profile, double reach) {
    Station station;
    if (is_set(profile.piece, profile.at(-reach))) {
        station.crossing = Crossing::covered;
        return station;
    }
    double shaded_from = reach;
    for (double t = -reach; t <= reach; t += kStep) {
        if (shaded_from == reach && profile.plain(t) >= kSeen && profile.plain(t + 1) >= kSeen) shaded_from = t;
        if (!is_set(profile.piece, profile.at(t))) continue;
        const bool clear = profile.unshaded(t - 3) < kSeen && profile.unshaded(t - 4) < kSeen;
        station.crossing = clear ? Crossing::edge : Crossing::covered;
        station.point.depth = half_way(profile, t);
        station.contrast = profile.mean_unshaded(t + 1, t + kJustIn) / kSeen;
        station.shade = std::max(0.0, t - shaded_from);
        return station;
    }
    return station;
}

std::vector<Station> stations(const Frame& frame, int which, double reach) {
    const Homography back = frame.square.inverse();
    std::vector<Station> all;
    for (int k = 0; k < kStations; ++k) {
        const double along = 0.015 + 0.97 * (k + 0.5) / kStations;
        const PhotoPoint edge = frame.square(in_square(which, {along, 0}));
        const PhotoPoint inside = frame.square(in_square(which, {along, 0.05}));
        const Profile profile{frame.work, frame.unlike, frame.piece, edge,
                              (inside - edge) * (1 / length(inside - edge))};
        Station station = station_at(profile, reach);
        station.point = from_side(which, station.crossing == Crossing::edge ? back(profile.at(station.point.depth))
                                                                            : in_square(which, {along, 0}));
        all.push_back(station);
    }
    return all;
}

bool near_end(double along, double part) {
    return std::min(along, 1 - along) < part;
}

constexpr double kEndPart = 0.12;   // of a side: here nothing hangs, a strip of waste yarn being narrower
constexpr double kMostBow = 0.035;  // of a side's length, as the height of its arc

/// The parabola through two places near the corners and one more that most places lie on. Being held at the corners it
/// cannot run along the end of a strip that hangs between them.
std::array<double, 3> held_parabola(const std::vector<SidePoint>& points, double near, double most_bow) {
    std::vector<SidePoint> start, end;
    for (const SidePoint& p : points) {
        if (p.along < kEndPart) start.push_back(p);
        if (p.along > 1 - kEndPart) end.push_back(p);
    }
    std::array<double, 3> best{};
    if (start.empty() || end.empty()) return best;
    Random random(1);
    const auto any = [&](const std::vector<SidePoint>& from) {
        return from[static_cast<std::size_t>(random.uniform() * static_cast<double>(from.size()))];
    };
    int most = 0;
    constexpr int kTrials = 200;
    for (int trial = 0; trial < kTrials; ++trial) {
        const SidePoint a = any(start), b = any(end), c = any(points);
        const double slope = (b.depth - a.depth) / (b.along - a.along);
        const double lens = (c.along - a.along) * (c.along - b.along);
        const double bend = std::abs(lens) < 0.02 ? 0 : (c.depth - a.depth - slope * (c.along - a.along)) / lens;
        if (std::abs(bend) / 4 > most_bow) continue;
        const std::array<double, 3> p{a.depth - slope * a.along + bend * a.along * b.along,
                                      slope - bend * (a.along + b.along), bend};
        int count = 0;
        for (const SidePoint& q : points)
            if (std::abs(q.depth - p[0] - q.along * (p[1] + q.along * p[2])) < near)
                count += near_end(q.along, kEndPart) ? 3 : 1;
        if (count > most) {
            most = count;
            best = p;
        }
    }
    return best;
}

/// Tukey's biweight about a parabola, ending at `reach`; a line where only the shoulders beside a strip are seen.
void refit(Edge& edge, const std::vector<SidePoint>& points, double reach) {
    constexpr int kRounds = 5;
    for (int round = 0; round < kRounds; ++round) {
        bool middle_seen = false;
        for (const SidePoint& p : points)
            middle_seen = middle_seen || (std::abs(p.depth - edge(p.along)) < reach && !near_end(p.along, 0.3));
        cv::Matx33d normal = cv::Matx33d::eye() * 1e-9;
        cv::Vec3d right;
        for (const SidePoint& p : points) {
            const double w = biweight((p.depth - edge(p.along)) / reach);
            const cv::Vec3d t(1, p.along, middle_seen ? p.along * p.along : 0);
            normal += t * t.t() * w;
            right += t * (w * p.depth);
        }
        const cv::Vec3d c = normal.solve(right, cv::DECOMP_CHOLESKY);
        edge.c = {c[0], c[1], c[2]};
    }
}

void judge(Edge& edge, double pixels_deep, double on_edge) {
    double on = 0, covered = 0, sum = 0;
    std::array<double, 2> on_at_end{}, clear_at_end{};
    std::array<int, 2> on_at_corner{};
    std::vector<double> contrasts, shades;
    for (const Station& s : edge.stations) {
        const bool seen = s.crossing == Crossing::edge;
        const double miss = seen ? (s.point.depth - edge(s.point.along)) * pixels_deep : 0;
        const bool is_on = seen && std::abs(miss) < on_edge;
        const bool is_covered = s.crossing == Crossing::covered || miss < -on_edge;
        covered += is_covered ? 1 : 0;
        if (near_end(s.point.along, kEndPart)) {
            const std::size_t end = s.point.along < 0.5 ? 0 : 1;
            clear_at_end[end] += is_covered ? 0 : 1;
            on_at_end[end] += is_on ? 1 : 0;
            on_at_corner[end] += is_on && near_end(s.point.along, kEndPart / 2) ? 1 : 0;
        }
        if (!is_on) continue;
        on += 1;
        sum += miss * miss;
        contrasts.push_back(s.contrast);
        shades.push_back(s.shade);
    }
    const double count = static_cast<double>(edge.stations.size());
    constexpr double kFewest = 4;  // stations beside a corner
    edge.support = on / std::max(count - covered, 0.1 * count);
    edge.covered = covered / count;
    edge.support_start = on_at_end[0] / std::max(kFewest, clear_at_end[0]);
    edge.support_end = on_at_end[1] / std::max(kFewest, clear_at_end[1]);
    edge.nearest_corner = std::min(on_at_corner[0], on_at_corner[1]);
    edge.rms = on > 0 ? std::sqrt(sum / on) : 0;
    edge.contrast = median(contrasts);
    edge.shade = median(shades);
}

/// @param rough  pixels by which places of an edge miss it
Edge fitted_edge(const Frame& frame, int which, double reach, double rough) {
    Edge edge;
    edge.stations = stations(frame, which, reach);
    std::vector<SidePoint> points;
    for (const Station& s : edge.stations)
        if (s.crossing == Crossing::edge) points.push_back(s.point);
    if (points.size() < 8) return edge;
    const double pixels_deep = mean_length(frame.corners, which + 1);
    const double near = 2.5 * rough / pixels_deep;
    edge.c = held_parabola(points, near, kMostBow * mean_length(frame.corners, which) / pixels_deep);
    refit(edge, points, 2 * near);
    judge(edge, pixels_deep, 4.5 * rough);
    return edge;
}

/// Where side `which` ends and the next begins.
PhotoPoint crossing(const std::array<Edge, 4>& edges, int which) {
    const Edge& a = edges[static_cast<std::size_t>(which)];
    const Edge& b = edges[static_cast<std::size_t>((which + 1) & 3)];
    double depth_b = 0, depth_a = 0;
    for (int round = 0; round < 30; ++round) {
        depth_a = a(1 - depth_b);
        depth_b = b(depth_a);
    }
    return in_square(which, {1 - depth_b, depth_a});
}

}  // namespace

PhotoPoint in_square(int which, SidePoint p) {
    switch (which) {
        case 0:
            return {p.along, p.depth};
        case 1:
            return {1 - p.depth, p.along};
        case 2:
            return {1 - p.along, 1 - p.depth};
        default:
            return {p.depth, 1 - p.along};
    }
}

double roughness(const std::array<Edge, 4>& edges) {
    std::array<double, 4> rms{};
    std::transform(edges.begin(), edges.end(), rms.begin(), [](const Edge& edge) { return edge.rms; });
    std::sort(rms.begin(), rms.end());
    return rms[1];
}

Fit refined(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Corners& start) {
    Fit fit;
    fit.corners = start;
    const double width = std::min(side(start, 0) + side(start, 2), side(start, 1) + side(start, 3)) / 2;
    double rough = std::max(0.4, kRoughest * work.longer());
    for (const double reach : {0.10 * width + 8, 0.06 * width + 6, 0.06 * width + 6}) {
        const Frame frame{work, unlike, piece, fit.corners, from_square(fit.corners)};
        fit.square = frame.square;
        for (int i = 0; i < 4; ++i) fit.edges[static_cast<std::size_t>(i)] = fitted_edge(frame, i, reach, rough);
        for (int i = 0; i < 4; ++i)
            fit.corners[static_cast<std::size_t>((i + 1) & 3)] = frame.square(crossing(fit.edges, i));
        if (!all_finite(fit.corners)) break;
        rough = std::clamp(roughness(fit.edges), 0.2, rough);
    }
    return fit;
}

Bows bows_of(const Fit& fit) {
    const Homography back = from_square(fit.corners).inverse();
    Bows bows{};
    for (int i = 0; i < 4; ++i) {
        const double depth = fit.edges[static_cast<std::size_t>(i)](0.5);
        const SidePoint p = from_side(i, back(fit.square(in_square(i, {0.5, depth}))));
        bows[static_cast<std::size_t>(i)] = p.depth / (4 * p.along * (1 - p.along));
    }
    return bows;
}

}  // namespace loopread::corner_search
