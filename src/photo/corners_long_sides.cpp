#include "photo/corners_long_sides.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "loopread/base/random.h"

namespace loopread::corner_search {
namespace {

/// The line most points lie within `near` of, then the least squares of those.
Line robust_line(const std::vector<PhotoPoint>& points, double near) {
    Line best;
    std::size_t most = 0;
    Random random(1);
    constexpr int kTrials = 160;  // enough for a line in a third of the points, 1 - (1 - 1/9)^160
    const auto any = [&] {
        return points[static_cast<std::size_t>(random.uniform() * static_cast<double>(points.size()))];
    };
    const auto within = [&](const Line& line, const PhotoPoint& p) { return std::abs(p.y - line(p.x)) < near; };
    for (int trial = 0; trial < kTrials; ++trial) {
        const PhotoPoint a = any(), b = any();
        if (std::abs(a.x - b.x) < 1e-9) continue;
        Line line;
        line.slope = (b.y - a.y) / (b.x - a.x);
        line.at = a.y - line.slope * a.x;
        const auto count = static_cast<std::size_t>(
            std::count_if(points.begin(), points.end(), [&](const PhotoPoint& p) { return within(line, p); }));
        if (count > most) {
            most = count;
            best = line;
        }
    }
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (const PhotoPoint& p : points)
        if (within(best, p)) {
            n += 1;
            sx += p.x;
            sy += p.y;
            sxx += p.x * p.x;
            sxy += p.x * p.y;
        }
    const double den = n * sxx - sx * sx;
    if (den > 1e-9) {
        best.slope = (n * sxy - sx * sy) / den;
        best.at = (sy - best.slope * sx) / n;
    }
    return best;
}

struct Extents {
    double first = 0;               ///< s of the first bin
    std::vector<double> low, high;  ///< of t in each bin, a pixel each
};

Extents extents(const Piece& piece, const Axes& axes) {
    std::vector<std::vector<cv::Point>> outlines;
    cv::findContours(piece.mask, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    std::vector<PhotoPoint> st;
    for (const auto& outline : outlines)
        for (const cv::Point& p : outline) {
            const PhotoPoint point{p.x + 0.5, p.y + 0.5};
            st.push_back({axes.s(point), axes.t(point)});
        }
    Extents e;
    double last = -1e9;
    e.first = 1e9;
    for (const PhotoPoint& p : st) {
        e.first = std::min(e.first, p.x);
        last = std::max(last, p.x);
    }
    const auto bins = static_cast<std::size_t>(last - e.first) + 1;
    e.low.assign(bins, 1e9);
    e.high.assign(bins, -1e9);
    for (const PhotoPoint& p : st) {
        const auto bin = static_cast<std::size_t>(p.x - e.first);
        e.low[bin] = std::min(e.low[bin], p.y);
        e.high[bin] = std::max(e.high[bin], p.y);
    }
    return e;
}

/// The part of the width between the long sides that is cloth, at each pixel along them, well beyond the ends too.
std::vector<double> coverage(const cv::Mat1b& cloth, const Axes& axes, const LongSides& sides, double from, int count) {
    constexpr int kAcross = 60;
    std::vector<double> covered(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        const double s = from + i + 0.5, low = sides.low(s), high = sides.high(s);
        if (high - low < 2) continue;
        int hits = 0;
        for (int k = 0; k < kAcross; ++k)
            hits += is_set(cloth, axes.point(s, low + (k + 0.5) / kAcross * (high - low))) ? 1 : 0;
        covered[static_cast<std::size_t>(i)] = static_cast<double>(hits) / kAcross;
    }
    return covered;
}

constexpr double kFullWidth = 0.9;  // chosen: a strip of waste yarn narrower than that is no part of the blank

/// Where the coverage is full; short notches (table-coloured paint at an edge) do not part it.
void find_ends(LongSides& sides, const std::vector<double>& covered, double from) {
    struct Stretch {
        int first, last;
    };
    std::vector<Stretch> stretches;
    const int count = static_cast<int>(covered.size());
    for (int i = 0; i < count; ++i) {
        if (covered[static_cast<std::size_t>(i)] < kFullWidth) continue;
        if (!stretches.empty()) {
            double least = 1;
            for (int k = stretches.back().last + 1; k < i; ++k)
                least = std::min(least, covered[static_cast<std::size_t>(k)]);
            const int gap = i - stretches.back().last - 1;
            if (gap <= 3 || least > 0.25) {
                stretches.back().last = i;
                continue;
            }
        }
        stretches.push_back({i, i});
    }
    if (stretches.empty()) {
        sides.bodies = 0;
        return;
    }
    const auto size = [](const Stretch& s) { return s.last - s.first + 1; };
    const Stretch longest = *std::max_element(stretches.begin(), stretches.end(),
                                              [&](const Stretch& a, const Stretch& b) { return size(a) < size(b); });
    sides.bodies = static_cast<int>(std::count_if(stretches.begin(), stretches.end(), [&](const Stretch& s) {
        return size(s) >= std::max(3.0, 0.02 * size(longest));
    }));
    sides.first = from + longest.first;
    sides.last = from + longest.last + 1;
}

}  // namespace

Axes axes_of(const Piece& piece) {
    const cv::Moments m = cv::moments(piece.mask, true);
    const double angle = 0.5 * std::atan2(2 * m.mu11, m.mu20 - m.mu02);
    return {{m.m10 / m.m00 + 0.5, m.m01 / m.m00 + 0.5},
            {std::cos(angle), std::sin(angle)},
            {-std::sin(angle), std::cos(angle)}};
}

LongSides long_sides(const Piece& piece, const cv::Mat1b& cloth, const Axes& axes) {
    const Extents e = extents(piece, axes);
    std::vector<PhotoPoint> low, high;
    for (std::size_t i = 0; i < e.low.size(); ++i) {
        if (e.low[i] > e.high[i]) continue;
        const double s = e.first + static_cast<double>(i) + 0.5;
        low.push_back({s, e.low[i]});
        high.push_back({s, e.high[i]});
    }
    const double near = std::max(1.5, 0.008 * static_cast<double>(e.low.size()));  // cloth bows by about that
    LongSides sides;
    sides.low = robust_line(low, near);
    sides.high = robust_line(high, near);
    const int spare = static_cast<int>(e.low.size() / 2);
    const double from = e.first - spare;
    find_ends(sides, coverage(cloth, axes, sides, from, static_cast<int>(e.low.size()) + 2 * spare), from);
    return sides;
}

}  // namespace loopread::corner_search
