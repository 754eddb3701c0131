#include "wound/seen_strands.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "wound/farthest_samples.h"
#include "wound/smooth_noise.h"
#include "wound/strand_colours.h"
#include "wound/yarn_surface.h"

namespace loopread::wound {
namespace {

constexpr float kFibreMm = 2.2F;      // longest of the halo; chosen by eye
constexpr float kFibresPerMm = 1.6F;  // chosen by eye
constexpr std::uint32_t kFibre = 0x80000000U;
constexpr std::uint32_t kNothing = 0xffffffffU;

struct Scene {
    const std::vector<Segment>& segments;
    const Bins& bins;
    const std::vector<StrandColours>& colours;
    const PaintOptions& options;
    SeenTable table;
};

constexpr float kPliesSeen = 9;  // pixels of radius from which the grooves between plies do not look jagged
/// Where in its pixel each sample lies: a turned square, so that edges along rows and columns fade in four steps.
constexpr float kSampleX[kAcross][kAcross] = {{0.375F, 0.875F}, {0.125F, 0.625F}};  // [row][column]
constexpr float kSampleY[kAcross][kAcross] = {{0.125F, 0.375F}, {0.625F, 0.875F}};

/// One tile's samples, kept by a thread from tile to tile.
class TilePainter {
public:
    TilePainter(const Scene& scene, SeenPixels& out)
        : scene_(scene), out_(out), surface_(scene.options.view.pixels_per_mm) {
        height_.resize(at(0, kSide));
        hit_.resize(at(0, kSide));
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
    static float pixel_of(int sample) {
        const int pixel = sample / kAcross;
        return static_cast<float>(pixel);
    }
    static float sample_x(int x, int y) { return pixel_of(x) + kSampleX[y % kAcross][x % kAcross]; }
    static float sample_y(int x, int y) { return pixel_of(y) + kSampleY[y % kAcross][x % kAcross]; }
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
            const float row = pixel_of(y) - tube.from_y;
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

SeenPixels seen_pixels(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                       const PaintOptions& options) {
    std::vector<StrandColours> colours;
    for (const ColourRun& run : runs) colours.emplace_back(run, 1 / options.view.pixels_per_mm);
    for (const StrandPath& path : paths)
        require(path.strand >= 0 && static_cast<std::size_t>(path.strand) < runs.size(), "every strand has a run");
    const std::vector<Segment> segments = seen_segments(paths, options);
    require(segments.size() < kFibre, "segments can be counted in 31 bits");
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
