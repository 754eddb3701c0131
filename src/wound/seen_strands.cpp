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
constexpr int kSamples = kTile * kAcross;
constexpr float kPliesSeen = 9;  // pixels of radius from which the grooves between plies do not look jagged
/// Where in its pixel each sample lies: a turned square, so that edges along rows and columns fade in four steps.
constexpr float kSampleX[kAcross][kAcross] = {{0.375F, 0.875F}, {0.125F, 0.625F}};  // [row][column]
constexpr float kSampleY[kAcross][kAcross] = {{0.125F, 0.375F}, {0.625F, 0.875F}};

/// How far towards the viewer the farthest sample of each square of a tile lies: what lies wholly behind it is hidden.
/// A square that shows some table counts as far off as the table's farthest sample.
class FarthestSamples {
public:
    static constexpr int kSquare = 8, kAcrossTile = kSamples / kSquare;  // samples; squares
    void reset(float table) {
        farthest_.fill(table);
        bare_.fill(kSquare * kSquare);
        tile_ = table;
    }
    float operator()(int x, int y) const { return farthest_[at(x, y)]; }
    float tile() const { return tile_; }

    /// Of a square that has been drawn in. @param newly  samples of it that showed the table until now
    void drawn(int x, int y, int newly, const float* heights) {
        int& bare = bare_[at(x, y)];
        bare -= newly;
        if (bare > 0) return;
        std::array<float, kSquare> lowest;  // of each column
        lowest.fill(std::numeric_limits<float>::max());
        for (std::size_t r = 0; r < kSquare; ++r)
            for (std::size_t c = 0; c < kSquare; ++c) lowest[c] = std::min(lowest[c], heights[r * kSamples + c]);
        farthest_[at(x, y)] = *std::min_element(lowest.begin(), lowest.end());
    }
    void sum_up() {
        coarse_.fill(std::numeric_limits<float>::max());
        for (int y = 0; y < kAcrossTile; ++y)
            for (int x = 0; x < kAcrossTile; ++x) {
                float& coarse = coarse_[coarse_at(x / kCoarser, y / kCoarser)];
                coarse = std::min(coarse, farthest_[at(x, y)]);
            }
        tile_ = *std::min_element(coarse_.begin(), coarse_.end());
    }
    /// Within the box of samples, as of the last summing up; rather too far off than too near.
    float within(int left, int right, int top, int bottom) const {
        float lowest = std::numeric_limits<float>::max();
        for (int y = top / (kSquare * kCoarser); y <= bottom / (kSquare * kCoarser); ++y)
            for (int x = left / (kSquare * kCoarser); x <= right / (kSquare * kCoarser); ++x)
                lowest = std::min(lowest, coarse_[coarse_at(x, y)]);
        return lowest;
    }

private:
    static constexpr int kCoarser = 4, kCoarseAcross = kAcrossTile / kCoarser;
    static_assert(kSamples % (kSquare * kCoarser) == 0, "squares fill the tile");
    static std::size_t at(int x, int y) {
        return static_cast<std::size_t>(y) * kAcrossTile + static_cast<std::size_t>(x);
    }
    static std::size_t coarse_at(int x, int y) {
        return static_cast<std::size_t>(y) * kCoarseAcross + static_cast<std::size_t>(x);
    }
    std::array<float, static_cast<std::size_t>(kAcrossTile) * kAcrossTile> farthest_{};
    std::array<int, static_cast<std::size_t>(kAcrossTile) * kAcrossTile> bare_{};
    std::array<float, static_cast<std::size_t>(kCoarseAcross) * kCoarseAcross> coarse_{};
    float tile_ = 0;
};

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
        if (scene_.bins.first[tile] == scene_.bins.first[tile + 1]) {
            show_table();
            return;
        }
        clear();
        collect(tile);
        draw_tubes();
        draw_fibres();
        gather(*(out_.tiles.begin() + static_cast<std::ptrdiff_t>(tile)));
    }

private:
    static constexpr int kSide = kSamples;

    /// The table's height at the samples of a row, by turns.
    std::array<float, kAcross> table_heights(int y) const {
        std::array<float, kAcross> heights{};
        for (int x = 0; x < kAcross; ++x)
            heights[static_cast<std::size_t>(x)] = scene_.table.height(static_cast<float>(top_) + sample_y(x, y));
        return heights;
    }

    void clear() {
        std::fill(hit_.begin(), hit_.end(), kNothing);
        float lowest = std::numeric_limits<float>::max();
        for (int y = 0; y < kSide; ++y) {
            const std::array<float, kAcross> table = table_heights(y);
            for (int x = 0; x < kSide; ++x) height_[at(x, y)] = table[static_cast<std::size_t>(x % kAcross)];
            lowest = std::min(lowest, *std::min_element(table.begin(), table.end()));
        }
        farthest_.reset(lowest);
    }

    /// Of a tile without yarn.
    void show_table() {
        const int bottom = std::min(kTile, scene_.options.rows - top_);
        const int right = std::min(left_ + kTile, scene_.options.columns);
        for (int y = 0; y < bottom; ++y) {
            const std::array<float, kAcross> upper = table_heights(y * kAcross), lower = table_heights(y * kAcross + 1);
            float* heights = out_.height.row(top_ + y);
            std::fill(heights + left_, heights + right, mean_height(upper.data(), lower.data()));
        }
    }
    /// Of a pixel.
    static float mean_height(const float* upper, const float* lower) {
        return (upper[0] + upper[1] + lower[0] + lower[1]) / static_cast<float>(kAcross * kAcross);
    }
    static std::size_t at(int x, int y) { return static_cast<std::size_t>(y) * kSide + static_cast<std::size_t>(x); }
    /// Within the tile.
    static float sample_x(int x, int y) { return static_cast<float>(x / kAcross) + kSampleX[y % kAcross][x % kAcross]; }
    static float sample_y(int x, int y) { return static_cast<float>(y / kAcross) + kSampleY[y % kAcross][x % kAcross]; }
    /// The samples from a pixel's first one on.
    static int first_sample(float place, int edge) {
        const int pixel = whole_below(place) - edge;
        return std::clamp(pixel, 0, kTile) * kAcross;
    }

    /// The tile's segments side by side in memory, so that what lies in front is drawn before what it hides; of equals
    /// the first one of the paths.
    void collect(std::size_t tile) {
        const std::uint32_t first = scene_.bins.first[tile], last = scene_.bins.first[tile + 1];
        order_.clear();
        for (std::uint32_t i = first; i < last; ++i)
            order_.push_back({scene_.segments[scene_.bins.segments[i]].nearest(), scene_.bins.segments[i]});
        std::sort(order_.begin(), order_.end(), [](const Order& a, const Order& b) {
            return a.nearest != b.nearest ? a.nearest > b.nearest : a.segment < b.segment;
        });
        segments_.clear();
        for (const Order& one : order_) segments_.push_back(scene_.segments[one.segment]);
        lit_ = kNothing;
    }

    void draw_tubes() {
        constexpr std::size_t kLookEvery = 32;
        for (std::size_t i = 0; i < segments_.size(); ++i) {
            if (i % kLookEvery == 0) farthest_.sum_up();
            if (order_[i].nearest <= farthest_.tile()) break;  // and so all that come after it
            draw_tube(static_cast<std::uint32_t>(i));
        }
        farthest_.sum_up();
    }

    /// A tube in the tile's own pixels.
    struct Tube {
        float from_x, from_y, from_z;
        Vec step;
        float inverse;  // 1 / length squared, as seen
        float radius2, nearest;
    };
    struct SampleBox {
        int left, right, top, bottom;
    };

    void draw_tube(std::uint32_t id) {
        const Segment& s = segments_[id];
        const SampleBox box{first_sample(std::min(s.from.x, s.from.x + s.step.x) - s.radius, left_),
                            first_sample(std::max(s.from.x, s.from.x + s.step.x) + s.radius + 1, left_),
                            first_sample(std::min(s.from.y, s.from.y + s.step.y) - s.radius, top_),
                            first_sample(std::max(s.from.y, s.from.y + s.step.y) + s.radius + 1, top_)};
        if (box.left >= box.right || box.top >= box.bottom) return;
        const float length2 = s.step.x * s.step.x + s.step.y * s.step.y;
        const Tube tube{s.from.x - static_cast<float>(left_),
                        s.from.y - static_cast<float>(top_),
                        s.from.z,
                        s.step,
                        length2 > 1e-12F ? 1 / length2 : 0,
                        s.radius * s.radius,
                        s.nearest()};
        constexpr int kSquare = FarthestSamples::kSquare;
        constexpr float kHalf = 0.5F * kSquare / kAcross;  // pixels
        const float beyond = s.radius + kHalf * 1.42F, beyond2 = beyond * beyond;
        for (int y = box.top / kSquare; y * kSquare < box.bottom; ++y)
            for (int x = box.left / kSquare; x * kSquare < box.right; ++x) {
                if (tube.nearest <= farthest_(x, y)) continue;
                const float middle_x = kHalf * static_cast<float>(2 * x + 1) - tube.from_x;
                const float middle_y = kHalf * static_cast<float>(2 * y + 1) - tube.from_y;
                if (off_squared(tube, middle_x, middle_y) >= beyond2) continue;
                const int newly =
                    draw_square(id, tube,
                                {std::max(box.left, x * kSquare), std::min(box.right, (x + 1) * kSquare),
                                 std::max(box.top, y * kSquare), std::min(box.bottom, (y + 1) * kSquare)});
                if (newly >= 0) farthest_.drawn(x, y, newly, height_.data() + at(x * kSquare, y * kSquare));
            }
    }
    static float off_squared(const Tube& tube, float px, float py) {
        const float t = held_share((px * tube.step.x + py * tube.step.y) * tube.inverse);
        const float ex = px - t * tube.step.x, ey = py - t * tube.step.y;
        return ex * ex + ey * ey;
    }
    static float held_share(float t) { return t < 0 ? 0 : t > 1 ? 1 : t; }

    /// @return  how many samples showed the table before; -1 if nothing was drawn
    int draw_square(std::uint32_t id, const Tube& tube, const SampleBox& box) {
        int newly = 0;
        bool drawn = false;
        for (int y = box.top; y < box.bottom; ++y) {
            const auto& places = places_[static_cast<std::size_t>(y % kAcross)];
            const float row = static_cast<float>(y / kAcross) - tube.from_y;
            float* heights = height_.data() + at(0, y);
            std::uint32_t* hits = hit_.data() + at(0, y);
            for (int x = box.left; x < box.right; ++x) {
                const SamplePlace& place = places[static_cast<std::size_t>(x)];
                const float px = place.x - tube.from_x, py = place.y + row;
                const float t = held_share((px * tube.step.x + py * tube.step.y) * tube.inverse);
                const float ex = px - t * tube.step.x, ey = py - t * tube.step.y;
                const float above2 = tube.radius2 - (ex * ex + ey * ey);
                if (above2 <= 0) continue;
                const float z = tube.from_z + t * tube.step.z + std::sqrt(above2);
                if (z <= heights[x]) continue;
                heights[x] = z;
                newly += hits[x] == kNothing ? 1 : 0;
                hits[x] = id;
                drawn = true;
            }
        }
        return drawn ? newly : -1;
    }

    void draw_fibres() {
        const float longest = 1.6F * kFibreMm * static_cast<float>(scene_.options.view.pixels_per_mm);
        for (std::size_t i = 0; i < segments_.size(); ++i) {
            if (order_[i].nearest + longest <= farthest_.tile()) break;
            draw_fibres_of(static_cast<std::uint32_t>(i));
        }
    }

    /// Fibres that stand off the yarn: each belongs to a place along the strand, so that tiles agree about it.
    void draw_fibres_of(std::uint32_t id) {
        const Segment& s = segments_[id];
        const float a = s.along_mm * kFibresPerMm, b = (s.along_mm + s.along_step_mm) * kFibresPerMm;
        const auto seed = static_cast<std::uint32_t>(scene_.options.seed) + 77U * static_cast<std::uint32_t>(s.strand);
        for (auto k = static_cast<std::int32_t>(std::ceil(std::min(a, b))); static_cast<float>(k) < std::max(a, b); ++k)
            draw_fibre(id, seed, k, a == b ? 0 : (static_cast<float>(k) - a) / (b - a));
    }

    void draw_fibre(std::uint32_t id, std::uint32_t seed, std::int32_t k, float t) {
        const Segment& s = segments_[id];
        const float lie = hashed(seed, k, 2);
        const float length_mm = kFibreMm * (0.3F + 0.7F * std::abs(lie) * std::abs(hashed(seed, k, 3)));
        const float length = length_mm * static_cast<float>(scene_.options.view.pixels_per_mm);
        const Vec root = s.from + s.step * t;
        const float reach = 1.6F * length + s.radius;
        const float x = root.x - static_cast<float>(left_), y = root.y - static_cast<float>(top_);
        if (std::abs(x - kTile / 2.0F) > kTile / 2.0F + reach || std::abs(y - kTile / 2.0F) > kTile / 2.0F + reach)
            return;  // another tile's
        const auto sample = [](float place) {
            return static_cast<int>(std::clamp(place * kAcross, 0.0F, kSide - 1.0F));
        };
        if (root.z + reach <=
            farthest_.within(sample(x - reach), sample(x + reach), sample(y - reach), sample(y + reach)))
            return;  // hidden
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

    struct Met {
        Vec offset;  // from the centreline, in the picture
        float along_mm;
    };

    void gather(const YarnTile& tile) {
        std::fill_n(tile.red, YarnTile::kPixels * YarnTile::kPlanes, 0.0F);
        const int bottom = std::min(kTile, scene_.options.rows - top_);
        const int right = std::min(kTile, scene_.options.columns - left_);
        for (int y = 0; y < bottom; ++y)
            for (int x = 0; x < right; ++x) gather_pixel(x, y, tile);
    }

    /// What the samples of a pixel add up to.
    struct Sum {
        Light colour;
        float key = 0, sky = 0;

        void add(Light own, SurfaceLight light, float weight) {
            colour = {colour.r + own.r * weight, colour.g + own.g * weight, colour.b + own.b * weight};
            key += light.key * weight;
            sky += light.sky * weight;
        }
    };

    void gather_pixel(int x, int y, const YarnTile& tile) {
        constexpr int n = kAcross * kAcross;
        const std::size_t upper = at(x * kAcross, y * kAcross), lower = upper + kSide;
        const std::array<std::uint32_t, n> hits{hit_[upper], hit_[upper + 1], hit_[lower], hit_[lower + 1]};
        const int row = top_ + y, column = left_ + x;
        out_.height(row, column) = mean_height(&height_[upper], &height_[lower]);
        int on_yarn = 0;
        for (const std::uint32_t hit : hits) on_yarn += hit != kNothing ? 1 : 0;
        if (on_yarn == 0) return;
        Sum sum;
        if (!one_place(hits, x, y, sum)) each_place(hits, x, y, sum);
        const float part = 1 / static_cast<float>(on_yarn);
        const auto cell = static_cast<std::size_t>(y) * kTile + static_cast<std::size_t>(x);
        tile.red[cell] = sum.colour.r * part;
        tile.green[cell] = sum.colour.g * part;
        tile.blue[cell] = sum.colour.b * part;
        tile.key[cell] = sum.key * part;
        tile.sky[cell] = sum.sky * part;
        out_.coverage(row, column) = static_cast<float>(on_yarn) / static_cast<float>(n);
    }

    void each_place(const std::array<std::uint32_t, 4>& hits, int x, int y, Sum& sum) {
        for (std::size_t i = 0; i < hits.size(); ++i) {
            if (hits[i] == kNothing) continue;
            const Segment& s = lit_segment(hits[i] & ~kFibre);
            const Met met = met_at(s, sample_place(x, y, i));
            sum.add(colour_at(s, met),
                    (hits[i] & kFibre) != 0 ? kFibreLight : surface_.light(tube_, met.offset, met.along_mm), 1);
        }
    }

    /// Where all of a pixel lies on one segment, light falls on it as on its middle if it is small beside the plies,
    /// else as on two of its samples that lie opposite each other.
    bool one_place(const std::array<std::uint32_t, 4>& hits, int x, int y, Sum& sum) {
        const std::uint32_t id = hits[0];
        if (hits[1] != id || hits[2] != id || hits[3] != id || (id & kFibre) != 0) return false;
        const Segment& s = lit_segment(id);
        if (s.radius >= kPliesSeen) {
            add_lit(s, {static_cast<float>(left_ + x) + 0.5F, static_cast<float>(top_ + y) + 0.5F, 0}, 4, sum);
        } else {
            add_lit(s, sample_place(x, y, 0), 2, sum);
            add_lit(s, sample_place(x, y, 3), 2, sum);
        }
        return true;
    }
    void add_lit(const Segment& s, Vec place, float weight, Sum& sum) const {
        const Met met = met_at(s, place);
        sum.add(colour_at(s, met), surface_.light(tube_, met.offset, met.along_mm), weight);
    }

    Vec sample_place(int x, int y, std::size_t i) const {
        const std::size_t row = i / kAcross, column = i % kAcross;
        return {static_cast<float>(left_ + x) + kSampleX[row][column],
                static_cast<float>(top_ + y) + kSampleY[row][column], 0};
    }
    Light colour_at(const Segment& s, const Met& met) const {
        return scene_.colours[static_cast<std::size_t>(s.strand)].at(met.along_mm);
    }

    /// Neighbouring samples mostly lie on one segment: what light needs of it is worked out once.
    const Segment& lit_segment(std::uint32_t id) {
        const Segment& s = segments_[id];
        if (id != lit_) {
            lit_ = id;
            tube_ = surface_.tube(s.step, s.radius);
            const float length2 = s.step.x * s.step.x + s.step.y * s.step.y;
            inverse_ = length2 > 1e-12F ? 1 / length2 : 0;
        }
        return s;
    }

    /// On the segment that light falls on.
    Met met_at(const Segment& s, Vec place) const {
        const float px = place.x - s.from.x, py = place.y - s.from.y;
        const float t = held_share((px * s.step.x + py * s.step.y) * inverse_);
        return {{px - t * s.step.x, py - t * s.step.y, 0}, s.along_mm + t * s.along_step_mm};
    }

    const Scene& scene_;
    SeenPixels& out_;
    YarnSurface surface_;
    std::uint32_t lit_ = kNothing;  // whose tube_ and inverse_ those are
    TubeLight tube_{.frame = TubeFrame(Vec{1, 0, 0})};
    float inverse_ = 0;  // 1 / length squared, as seen
    FarthestSamples farthest_;
    struct SamplePlace {
        float x, y;  // in its tile, and in its pixel
    };
    std::array<std::array<SamplePlace, kSide>, kAcross> places_{};  // of the two rows of samples in a row of pixels
    int left_ = 0, top_ = 0;
    std::vector<float> height_;
    std::vector<std::uint32_t> hit_;  // which of segments_
    struct Order {
        float nearest;
        std::uint32_t segment;  // of the scene
    };
    std::vector<Order> order_;
    std::vector<Segment> segments_;  // in that order
};

/// Room for the tiles that yarn reaches.
void set_tiles(SeenPixels& out, const Bins& bins) {
    constexpr std::size_t kRoom = YarnTile::kPixels * YarnTile::kPlanes;
    out.tiles = Grid<YarnTile>(bins.down, bins.across);
    const auto reached = [&](std::size_t tile) { return bins.first[tile] < bins.first[tile + 1]; };
    std::size_t room = 0;
    for (std::size_t tile = 0; tile < out.tiles.size(); ++tile) room += reached(tile) ? kRoom : 0;
    out.yarn = std::make_unique_for_overwrite<float[]>(room);
    float* planes = out.yarn.get();
    for (std::size_t tile = 0; tile < out.tiles.size(); ++tile) {
        if (!reached(tile)) continue;
        *(out.tiles.begin() + static_cast<std::ptrdiff_t>(tile)) = YarnTile(planes);
        planes += kRoom;
    }
}

}  // namespace

SeenTable seen_table(const PaintOptions& options) {
    return Projection(options).table();
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
    set_tiles(out, bins);
    out.coverage = Grid<float>(options.rows, options.columns);
    out.height = Grid<float>(options.rows, options.columns);
    const Scene scene{segments, bins, colours, options, seen_table(options)};
    in_parallel(bins.first.size() - 1, thread_count(options.threads),
                [&] { return [painter = TilePainter(scene, out)](std::size_t tile) mutable { painter.paint(tile); }; });
    return out;
}

}  // namespace loopread::wound
