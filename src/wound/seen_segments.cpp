#include "wound/seen_segments.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace loopread::wound {
namespace {

class Projection {
public:
    explicit Projection(const PaintOptions& options)
        : scale_(static_cast<float>(options.view.pixels_per_mm)),
          sine_(static_cast<float>(std::sin(options.view.elevation))),
          cosine_(static_cast<float>(std::cos(options.view.elevation))),
          middle_{options.view.middle.x, options.view.middle.y, options.view.middle.z},
          centre_{static_cast<float>(options.columns) / 2, static_cast<float>(options.rows) / 2, 0} {}

    Vec seen(const WoundPoint& point) const {
        const Vec p = Vec{point.x, point.y, point.z} - middle_;
        const float up = p.y * sine_ + p.z * cosine_;
        return centre_ + Vec{p.x, -up, p.z * sine_ - p.y * cosine_} * scale_;
    }
    SeenTable table() const {
        const float lean = cosine_ / sine_;
        const float at_middle = -middle_.z * scale_ * (sine_ + cosine_ * lean);
        return {at_middle - centre_.y * lean, lean};
    }

private:
    float scale_, sine_, cosine_;
    Vec middle_, centre_;
};

/// How many points on from `first` one straight piece may reach: it stays short, and nothing lies off it by much.
std::size_t reach_of(const std::vector<Vec>& points, std::size_t first, float radius) {
    constexpr std::size_t kMost = 8;
    constexpr float kOff = 0.15F;  // pixels: not to be seen
    const float longest = std::max(2.5F * radius, 12.0F);
    std::size_t last = first + 1;
    while (last + 1 < points.size() && last < first + kMost) {
        const Vec chord = points[last + 1] - points[first];
        const float length2 = dot(chord, chord);
        if (length2 > longest * longest || length2 < 1e-12F) break;
        const auto bent = [&](Vec point) {
            const Vec off = cross(chord, point - points[first]);
            return dot(off, off) > kOff * kOff * length2;
        };
        if (std::any_of(points.begin() + static_cast<std::ptrdiff_t>(first) + 1,
                        points.begin() + static_cast<std::ptrdiff_t>(last) + 1, bent))
            break;
        ++last;
    }
    return last;
}

struct TileSpan {
    int left, right, top, bottom;
};
TileSpan span_of(const Segment& s, float margin, const Bins& bins) {
    const auto tile = [](float v, int most) { return std::clamp(static_cast<int>(std::floor(v / kTile)), 0, most); };
    const float reach = s.radius + margin;
    const float left = std::min(s.from.x, s.from.x + s.step.x) - reach;
    const float right = std::max(s.from.x, s.from.x + s.step.x) + reach;
    const float top = std::min(s.from.y, s.from.y + s.step.y) - reach;
    const float bottom = std::max(s.from.y, s.from.y + s.step.y) + reach;
    if (right < 0 || bottom < 0 || left >= static_cast<float>(bins.across * kTile) ||
        top >= static_cast<float>(bins.down * kTile))
        return {0, -1, 0, -1};
    return {tile(left, bins.across - 1), tile(right, bins.across - 1), tile(top, bins.down - 1),
            tile(bottom, bins.down - 1)};
}

}  // namespace

SeenTable seen_table(const PaintOptions& options) {
    return Projection(options).table();
}

std::vector<Segment> seen_segments(const std::vector<StrandPath>& paths, const PaintOptions& options) {
    const Projection projection(options);
    const auto scale = static_cast<float>(options.view.pixels_per_mm);
    std::vector<Segment> segments;
    std::vector<Vec> seen;
    for (const StrandPath& path : paths) {
        seen.clear();
        for (const WoundPoint& point : path.points) seen.push_back(projection.seen(point));
        const float radius = path.radius_mm * scale;
        for (std::size_t a = 0; a + 1 < seen.size();) {
            const std::size_t b = reach_of(seen, a, radius);
            segments.push_back({seen[a], seen[b] - seen[a], path.points[a].along_mm,
                                path.points[b].along_mm - path.points[a].along_mm, radius, path.strand});
            a = b;
        }
    }
    return segments;
}

Bins binned(const std::vector<Segment>& segments, const PaintOptions& options, float margin) {
    Bins bins;
    bins.across = (options.columns + kTile - 1) / kTile;
    bins.down = (options.rows + kTile - 1) / kTile;
    const auto tiles = static_cast<std::size_t>(bins.across) * static_cast<std::size_t>(bins.down);
    bins.first.assign(tiles + 1, 0);
    const auto each = [&](auto&& visit) {
        for (std::size_t i = 0; i < segments.size(); ++i) {
            const TileSpan span = span_of(segments[i], margin, bins);
            for (int y = span.top; y <= span.bottom; ++y)
                for (int x = span.left; x <= span.right; ++x)
                    visit(static_cast<std::size_t>(y) * static_cast<std::size_t>(bins.across) +
                              static_cast<std::size_t>(x),
                          static_cast<std::uint32_t>(i));
        }
    };
    each([&](std::size_t tile, std::uint32_t) { ++bins.first[tile + 1]; });
    for (std::size_t t = 0; t < tiles; ++t) bins.first[t + 1] += bins.first[t];
    bins.segments.resize(bins.first[tiles]);
    std::vector<std::uint32_t> next(bins.first.begin(), bins.first.end() - 1);
    each([&](std::size_t tile, std::uint32_t segment) { bins.segments[next[tile]++] = segment; });
    return bins;
}

}  // namespace loopread::wound
