#include "wound/seen_strands.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "wound/smooth_noise.h"
#include "wound/strand_colours.h"
#include "wound/yarn_surface.h"

namespace loopread::wound {
namespace {

constexpr int kTile = 96;             // pixels; its samples stay in a processor's second cache
constexpr float kFibreMm = 2.2F;      // longest of the halo; chosen by eye
constexpr float kFibresPerMm = 1.6F;  // chosen by eye
constexpr std::uint32_t kFibre = 0x80000000U;
constexpr std::uint32_t kNothing = 0xffffffffU;

/// A short straight piece of a tube as the viewer sees it, pixels.
struct Segment {
    Vec from, step;  // step: to its other end
    float along_mm = 0, along_step_mm = 0;
    float radius = 0;
    int strand = 0;

    float nearest() const { return std::max(from.z, from.z + step.z) + radius; }
};

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
    constexpr std::size_t kMost = 5;
    constexpr float kOff = 0.15F;  // pixels: not to be seen
    const float longest = std::max(2.5F * radius, 2.5F);
    std::size_t last = first + 1;
    while (last + 1 < points.size() && last < first + kMost) {
        const Vec chord = points[last + 1] - points[first];
        const float length = norm(chord);
        if (length > longest || length < 1e-6F) break;
        bool straight = true;
        for (std::size_t i = first + 1; i <= last; ++i)
            straight = straight && norm(cross(chord, points[i] - points[first])) <= kOff * length;
        if (!straight) break;
        ++last;
    }
    return last;
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
    require(segments.size() < kFibre, "segments can be counted in 31 bits");
    return segments;
}

/// Which segments may reach each tile, in their order.
struct Bins {
    int across = 0, down = 0;
    std::vector<std::uint32_t> first, segments;
};

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

struct Scene {
    const std::vector<Segment>& segments;
    const Bins& bins;
    const std::vector<StrandColours>& colours;
    const PaintOptions& options;
    SeenTable table;
};

constexpr int kAcross = 2;  // samples across a pixel
/// Where in its pixel each sample lies: a turned square, so that edges along rows and columns fade in four steps.
constexpr float kSampleX[kAcross][kAcross] = {{0.375F, 0.875F}, {0.125F, 0.625F}};  // [row][column]
constexpr float kSampleY[kAcross][kAcross] = {{0.125F, 0.375F}, {0.625F, 0.875F}};

/// One tile's samples, kept by a thread from tile to tile.
class TilePainter {
public:
    TilePainter(const Scene& scene, SeenPixels& out)
        : scene_(scene), out_(out), surface_(scene.options.view.pixels_per_mm) {
        height_.resize(kSide * kSide);
        hit_.resize(kSide * kSide);
        for (int y = 0; y < kAcross; ++y)
            for (int x = 0; x < kSide; ++x)
                places_[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)] = {sample_x(x, y),
                                                                                     kSampleY[y][x % kAcross]};
    }

    void paint(std::size_t tile) {
        left_ = static_cast<int>(tile % static_cast<std::size_t>(scene_.bins.across)) * kTile;
        top_ = static_cast<int>(tile / static_cast<std::size_t>(scene_.bins.across)) * kTile;
        clear();
        order_.assign(scene_.bins.segments.begin() + scene_.bins.first[tile],
                      scene_.bins.segments.begin() + scene_.bins.first[tile + 1]);
        std::sort(order_.begin(), order_.end(), [&](std::uint32_t a, std::uint32_t b) {  // the nearest hide the rest
            const float near_a = scene_.segments[a].nearest(), near_b = scene_.segments[b].nearest();
            return near_a != near_b ? near_a > near_b : a < b;
        });
        for (const std::uint32_t id : order_) draw_tube(id);
        for (const std::uint32_t id : order_) draw_fibres(id);
        gather();
    }

private:
    static constexpr int kSide = kTile * kAcross;

    void clear() {
        std::fill(hit_.begin(), hit_.end(), kNothing);
        for (int y = 0; y < kSide; ++y)
            for (int x = 0; x < kSide; ++x)
                height_[at(x, y)] = scene_.table.height(static_cast<float>(top_) + sample_y(x, y));
    }
    static std::size_t at(int x, int y) { return static_cast<std::size_t>(y) * kSide + static_cast<std::size_t>(x); }
    /// Within the tile.
    static float sample_x(int x, int y) { return static_cast<float>(x / kAcross) + kSampleX[y % kAcross][x % kAcross]; }
    static float sample_y(int x, int y) { return static_cast<float>(y / kAcross) + kSampleY[y % kAcross][x % kAcross]; }
    /// The samples from a pixel's first one on.
    static int first_sample(float place, int edge) {
        const int pixel = static_cast<int>(std::floor(place)) - edge;
        return std::clamp(pixel, 0, kTile) * kAcross;
    }

    void draw_tube(std::uint32_t id) {
        const Segment& s = scene_.segments[id];
        const int x0 = first_sample(std::min(s.from.x, s.from.x + s.step.x) - s.radius, left_);
        const int x1 = first_sample(std::max(s.from.x, s.from.x + s.step.x) + s.radius + 1, left_);
        const int y0 = first_sample(std::min(s.from.y, s.from.y + s.step.y) - s.radius, top_);
        const int y1 = first_sample(std::max(s.from.y, s.from.y + s.step.y) + s.radius + 1, top_);
        const float length2 = s.step.x * s.step.x + s.step.y * s.step.y;
        const float inverse = length2 > 1e-12F ? 1 / length2 : 0;
        const float radius2 = s.radius * s.radius, nearest = s.nearest();
        const float from_x = s.from.x - static_cast<float>(left_), from_y = s.from.y - static_cast<float>(top_);
        for (int y = y0; y < y1; ++y) {
            const auto& places = places_[static_cast<std::size_t>(y % kAcross)];
            const float row = static_cast<float>(y / kAcross) - from_y;
            float* heights = height_.data() + at(0, y);
            for (int x = x0; x < x1; ++x) {
                float& height = heights[x];
                if (nearest <= height) continue;
                const SamplePlace& place = places[static_cast<std::size_t>(x)];
                const float px = place.x - from_x, py = place.y + row;
                const float t = std::clamp((px * s.step.x + py * s.step.y) * inverse, 0.0F, 1.0F);
                const float ex = px - t * s.step.x, ey = py - t * s.step.y;
                const float off2 = ex * ex + ey * ey;
                if (off2 >= radius2) continue;
                const float z = s.from.z + t * s.step.z + std::sqrt(radius2 - off2);
                if (z <= height) continue;
                height = z;
                hit_[at(x, y)] = id;
            }
        }
    }

    /// Fibres that stand off the yarn: each belongs to a place along the strand, so that tiles agree about it.
    void draw_fibres(std::uint32_t id) {
        const Segment& s = scene_.segments[id];
        const float a = s.along_mm * kFibresPerMm, b = (s.along_mm + s.along_step_mm) * kFibresPerMm;
        const auto seed = static_cast<std::uint32_t>(scene_.options.seed) + 77U * static_cast<std::uint32_t>(s.strand);
        for (auto k = static_cast<std::int32_t>(std::ceil(std::min(a, b))); static_cast<float>(k) < std::max(a, b); ++k)
            draw_fibre(id, seed, k, a == b ? 0 : (static_cast<float>(k) - a) / (b - a));
    }

    void draw_fibre(std::uint32_t id, std::uint32_t seed, std::int32_t k, float t) {
        const Segment& s = scene_.segments[id];
        const float lie = hashed(seed, k, 2);
        const float length_mm = kFibreMm * (0.3F + 0.7F * std::abs(lie) * std::abs(hashed(seed, k, 3)));
        const float length = length_mm * static_cast<float>(scene_.options.view.pixels_per_mm);
        const Vec root = s.from + s.step * t;
        const float reach = 1.6F * length + s.radius;
        if (std::abs(root.x - static_cast<float>(left_) - kTile / 2.0F) > kTile / 2.0F + reach ||
            std::abs(root.y - static_cast<float>(top_) - kTile / 2.0F) > kTile / 2.0F + reach)
            return;  // another tile's
        const TubeFrame frame(s.step);
        const float round = 1.9F * hashed(seed, k, 1);
        const Vec out = frame.toward * std::cos(round) + frame.across * std::sin(round);
        const Vec along = frame.tangent * (lie < 0 ? -1.0F : 1.0F);
        const Vec start = root + out * (s.radius * 0.8F);
        const Vec direction = unit(along + out * (0.35F + 0.3F * hashed(seed, k, 4)));
        const Vec bend = (frame.across * hashed(seed, k, 5) - out * (0.2F + 0.5F * hashed(seed, k, 6))) * 0.5F;
        const int steps = std::max(2, static_cast<int>(length * kAcross));
        for (int i = 0; i < steps; ++i) {
            const float u = static_cast<float>(i) / static_cast<float>(steps);
            put_fibre(start + (direction * u + bend * (u * u)) * length, id);
        }
    }
    void put_fibre(Vec p, std::uint32_t id) {
        const float fx = (p.x - static_cast<float>(left_)) * kAcross;
        const float fy = (p.y - static_cast<float>(top_)) * kAcross;
        if (!(fx >= 0 && fy >= 0)) return;
        const int x = static_cast<int>(fx), y = static_cast<int>(fy);
        if (x >= kSide || y >= kSide) return;
        const std::size_t i = at(x, y);
        if (p.z <= height_[i]) return;
        // A fibre is too fine to hide or to shade what lies behind it: the height stays.
        hit_[i] = id | kFibre;
    }

    void gather() {
        const int bottom = std::min(kTile, scene_.options.rows - top_);
        const int right = std::min(kTile, scene_.options.columns - left_);
        for (int y = 0; y < bottom; ++y)
            for (int x = 0; x < right; ++x) gather_pixel(x, y);
    }

    void gather_pixel(int x, int y) {
        constexpr int n = kAcross;
        SeenPixels::Light colour;
        float key = 0, sky = 0, height = 0;
        int on_yarn = 0;
        for (int j = y * n; j < (y + 1) * n; ++j)
            for (int i = x * n; i < (x + 1) * n; ++i) {
                const std::size_t here = at(i, j);
                height += height_[here];
                if (hit_[here] == kNothing) continue;
                const Segment& s = framed(hit_[here] & ~kFibre);
                const Met met = met_at(s, i, j);
                const SeenPixels::Light own = scene_.colours[static_cast<std::size_t>(s.strand)].at(met.along_mm);
                const SurfaceLight light = (hit_[here] & kFibre) != 0
                                               ? kFibreLight
                                               : surface_.light(frame_, {met.offset, s.radius, met.along_mm});
                colour = {colour.r + own.r, colour.g + own.g, colour.b + own.b};
                key += light.key;
                sky += light.sky;
                ++on_yarn;
            }
        const int row = top_ + y, column = left_ + x;
        out_.height(row, column) = height / static_cast<float>(n * n);
        if (on_yarn == 0) return;
        const float part = 1 / static_cast<float>(on_yarn);
        out_.colour(row, column) = {colour.r * part, colour.g * part, colour.b * part};
        out_.key(row, column) = key * part;
        out_.sky(row, column) = sky * part;
        out_.coverage(row, column) = static_cast<float>(on_yarn) / static_cast<float>(n * n);
    }

    /// Neighbouring samples mostly lie on one segment: its frame is worked out once.
    const Segment& framed(std::uint32_t id) {
        const Segment& s = scene_.segments[id];
        if (id != framed_) {
            framed_ = id;
            frame_ = TubeFrame(s.step);
        }
        return s;
    }

    struct Met {
        Vec offset;  // from the centreline, in the picture
        float along_mm;
    };
    Met met_at(const Segment& s, int i, int j) const {
        const float px = static_cast<float>(left_) + sample_x(i, j) - s.from.x;
        const float py = static_cast<float>(top_) + sample_y(i, j) - s.from.y;
        const float length2 = s.step.x * s.step.x + s.step.y * s.step.y;
        const float t = length2 > 1e-12F ? std::clamp((px * s.step.x + py * s.step.y) / length2, 0.0F, 1.0F) : 0.0F;
        return {{px - t * s.step.x, py - t * s.step.y, 0}, s.along_mm + t * s.along_step_mm};
    }

    const Scene& scene_;
    SeenPixels& out_;
    YarnSurface surface_;
    std::uint32_t framed_ = kNothing;
    TubeFrame frame_{Vec{1, 0, 0}};
    struct SamplePlace {
        float x, y;  // in its tile, and in its pixel
    };
    std::array<std::array<SamplePlace, kSide>, kAcross> places_{};  // of the two rows of samples in a row of pixels
    int left_ = 0, top_ = 0;
    std::vector<float> height_;
    std::vector<std::uint32_t> hit_, order_;
};

}  // namespace

SeenTable seen_table(const PaintOptions& options) {
    return Projection(options).table();
}

Vec toward_lamp() {
    return unit({-0.50F, -0.60F, 0.86F});
}

SeenPixels seen_pixels(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                       const PaintOptions& options) {
    std::vector<StrandColours> colours;
    for (const ColourRun& run : runs) colours.emplace_back(run, 1 / options.view.pixels_per_mm);
    for (const StrandPath& path : paths)
        require(path.strand >= 0 && static_cast<std::size_t>(path.strand) < runs.size(), "every strand has a run");
    const std::vector<Segment> segments = seen_segments(paths, options);
    const Bins bins = binned(segments, options, kFibreMm * 1.3F * static_cast<float>(options.view.pixels_per_mm));

    SeenPixels out;
    out.colour = Grid<SeenPixels::Light>(options.rows, options.columns);
    out.coverage = out.key = out.sky = out.height = Grid<float>(options.rows, options.columns);
    const Scene scene{segments, bins, colours, options, seen_table(options)};
    in_parallel(bins.first.size() - 1, thread_count(options.threads),
                [&] { return [painter = TilePainter(scene, out)](std::size_t tile) mutable { painter.paint(tile); }; });
    return out;
}

}  // namespace loopread::wound
