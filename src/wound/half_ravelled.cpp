#include "loopread/wound/half_ravelled.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/unravel/order.h"
#include "wound/layered.h"
#include "wound/smooth_noise.h"

namespace loopread {
namespace {

using namespace wound;

constexpr float kCoilsWidth = 195, kCoilsHigh = 62;  // mm, of the coils and of one of them; chosen by eye
constexpr float kBetween = 46;                       // mm from the blank to the coils
constexpr float kDrawnOut = 0.74F;  // of its length that crimped yarn takes up on the table; chosen, no source

class RavelledBlank {
public:
    explicit RavelledBlank(const HalfRavelledOptions& options)
        : options_(options),
          layout_(options.layout),
          order_(ravel_order(options.layout)),
          winding_(options.winding, options.layout.strand_length()),
          wale_(static_cast<float>(layout_.wale_spacing.value)),
          course_(static_cast<float>(layout_.course_spacing.value)),
          loop_(layout_.loop_length.value),
          off_(std::clamp<std::size_t>(static_cast<std::size_t>(options.share * static_cast<double>(order_.size())), 1,
                                       order_.size() - 1)) {
        const float full = static_cast<float>(kVisibleDiameter) * wale_;
        thickness_ = layout_.strands == 1 ? full / 2 : full / (2 * std::sqrt(2.0F));
    }

    /// The loops that are left, one path a strand and piece of the painted layer.
    std::vector<StrandPath> left() const {
        std::vector<StrandPath> paths;
        for (int s = 0; s < layout_.strands; ++s) {
            StrandPath path{s, thickness_, {}};
            for (std::size_t i = off_; i < order_.size(); ++i) {
                if (order_[i].layer == Layer::hidden) {
                    if (path.points.size() > 1) paths.push_back(path);
                    path.points.clear();
                    continue;
                }
                add_loop(path, i, s);
            }
            if (path.points.size() > 1) paths.push_back(path);
        }
        return paths;
    }

    /// Wool fills the gaps between its loops: a dim band of each row's own yarn under it, so that no table shows
    /// through.
    std::vector<StrandPath> bloom() const {
        std::vector<StrandPath> paths;
        const float thick = 0.62F * course_;
        for (std::size_t i = off_; i < order_.size(); ++i) {
            const LoopPlace& place = order_[i];
            if (place.layer == Layer::hidden) continue;
            StrandPath path{static_cast<int>(i % static_cast<std::size_t>(layout_.strands)), thick, {}};
            const double mid_sinker = (static_cast<double>(i) + kArcShare / 2) * loop_;
            for (int k = 0; k <= 2; ++k) {
                const double across = 0.5 * k;
                const double run = place.travel == Travel::right ? across : 1 - across;
                Vec at{(static_cast<float>(place.column) + static_cast<float>(across)) * wale_,
                       -(static_cast<float>(place.course) + 0.5F) * course_, 0};
                at = at + uneven(at);
                path.points.push_back(
                    {at.x, at.y, at.z - 0.36F * wale_ - 0.86F * thick, static_cast<float>(mid_sinker + run * loop_)});
            }
            paths.push_back(path);
        }
        return paths;
    }

    /// Where the yarn leaves the stitch that comes off next.
    Vec end_of_yarn() const {
        StrandPath path;
        std::size_t i = off_;
        while (i + 1 < order_.size() && order_[i].layer == Layer::hidden) ++i;
        add_loop(path, i, 0);
        return {path.points.front().x, path.points.front().y, path.points.front().z};
    }
    double off_mm() const { return static_cast<double>(off_) * loop_; }
    float loop_mm() const { return static_cast<float>(loop_); }
    float width() const { return wale_ * static_cast<float>(layout_.columns()); }
    float top() const { return -course_ * static_cast<float>(order_[off_].course); }
    float bottom() const { return -course_ * static_cast<float>(layout_.rows); }

private:
    static constexpr int kSteps = 22;  // points a loop

    void add_loop(StrandPath& path, std::size_t i, int strand) const {
        const LoopPlace& place = order_[i];
        const bool rightward = place.travel == Travel::right;
        const double mid_sinker = (static_cast<double>(i) + kArcShare / 2) * loop_;
        for (int k = 0; k < kSteps; ++k) {
            const double run = static_cast<double>(k) / kSteps;  // of the loop, in the direction of travel
            const double along = mid_sinker + run * loop_;
            path.points.push_back(on_table(place, rightward ? run : 1 - run, along, strand));
        }
    }

    /// @param across  of the loop, from its left as we see it
    WoundPoint on_table(const LoopPlace& place, double across, double along, int strand) const {
        const bool face = layout_.painted == Painted::face;
        const double t = options_.shape.t_at(face ? across : 1 - across);
        LoopVector p = options_.shape.point(t);
        if (layout_.strands == 2) {
            const LoopVector tangent = options_.shape.tangent(t);
            const LoopVector back{0, 0, 1};
            const LoopVector out = unit(back - tangent * dot(back, tangent)), side = cross(tangent, out);
            const double angle = frame_angle(layout_, place.travel, winding_.angle(along));
            const double reach = static_cast<double>(thickness_ / wale_) * (strand == 0 ? 1 : -1);
            p = p + (out * std::cos(angle) + side * std::sin(angle)) * reach;
        }
        const float toward = face ? 1.0F : -1.0F;  // from behind, right and left change places
        Vec at{(static_cast<float>(place.column) + 0.5F) * wale_ + toward * static_cast<float>(p.x) * wale_,
               -(static_cast<float>(place.course) + 0.5F) * course_ +
                   static_cast<float>(p.y / options_.shape.course_spacing()) * course_,
               -toward * static_cast<float>(p.z) * wale_};
        at = at + uneven(at);
        return {at.x, at.y, at.z, static_cast<float>(along)};
    }

    /// No blank lies quite straight; its open edge rolls up a little.
    Vec uneven(Vec at) const {
        const auto seed = static_cast<std::uint32_t>(options_.seed) + 40U;
        const float below_edge = std::max(0.0F, top() - at.y);
        const float u = at.x / width() - 0.5F;
        return {2.2F * smooth_noise(seed, at.y / 70) * (1 + u) + 0.35F * smooth_noise_2d(seed + 1, at.x / 5, at.y / 5),
                1.6F * smooth_noise(seed + 2, at.x / 60) + 0.5F * smooth_noise_2d(seed + 3, at.x / 6, at.y / 5),
                0.36F * wale_ + thickness_ + 0.8F * (1 + smooth_noise_2d(seed + 4, at.x / 40, at.y / 50)) +
                    3.0F * std::exp(-below_edge / 9)};
    }

    const HalfRavelledOptions& options_;
    const BlankLayout& layout_;
    std::vector<LoopPlace> order_;
    Winding winding_;
    float wale_, course_;
    double loop_;
    std::size_t off_;
    float thickness_ = 0;
};

/// Yarn laid in coils, each a little further up than the last, and from the topmost to the blank.
class Coils {
public:
    Coils(const HalfRavelledOptions& options, const RavelledBlank& blank)
        : options_(options),
          blank_(blank),
          diameter_(static_cast<float>(options.diameter.value)),
          left_(blank.width() + kBetween),
          bottom_(blank.bottom()),
          high_(blank.top() - blank.bottom()),
          columns_(static_cast<int>((kCoilsWidth + 2 * kMargin) / kCell)),
          rows_(static_cast<int>((high_ + 2 * kMargin) / kCell)),
          layers_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), diameter_) {
        require(rows_ > 0 && columns_ > 0, "coils have room");
    }

    std::vector<StrandPath> laid() {
        const std::vector<Vec> way = with_lead(coil_way());
        std::vector<StrandPath> paths;
        for (int s = 0; s < options_.layout.strands; ++s) paths.push_back({s, diameter_ / 2, {}});
        std::vector<LaidPoint> points;
        std::vector<Vec> places;
        const double off = blank_.off_mm();
        const float step = 0.6F * diameter_;
        const auto count = static_cast<std::size_t>(off / static_cast<double>(step));
        // Crimped yarn takes up less of the way than its length.
        const float way_step = length_of(way) / static_cast<float>(count);
        std::size_t piece = 0;
        float passed = 0;
        for (std::size_t i = 0; i < count; ++i) {
            const float at = static_cast<float>(i) * way_step;
            while (piece + 2 < way.size() && passed + norm(way[piece + 1] - way[piece]) < at)
                passed += norm(way[piece + 1] - way[piece]), ++piece;
            const Vec along_way = unit(way[piece + 1] - way[piece]);
            const Vec middle = way[piece] + along_way * (at - passed);
            const auto along = static_cast<float>(static_cast<double>(i) * static_cast<double>(step));
            places.push_back(crimped(middle, along_way, along));
            points.push_back({along_way, {-along_way.y, along_way.x, 0}, along, middle.z});
            if (points.size() == 512 || i + 1 == count) lay(points, places, paths);
        }
        return paths;
    }

private:
    static constexpr float kCell = 0.5F, kMargin = 30;

    /// Ovals of changing size that climb from the bottom to the top; z is what they rise above what lies there.
    std::vector<Vec> coil_way() const {
        const auto seed = static_cast<std::uint32_t>(options_.seed) * 13U + 60U;
        const auto length = static_cast<float>(blank_.off_mm()) * kDrawnOut;
        std::vector<Vec> way;
        float turn = 1.0F, passed = 0;
        const float climb = std::max(10.0F, high_ - kCoilsHigh - 14);
        while (passed < length) {
            const float share = passed / length;
            const float wide = kCoilsWidth / 2 * (0.80F + 0.20F * smooth_noise(seed, turn / 5.1F));
            const float high = kCoilsHigh / 2 * (0.85F + 0.35F * smooth_noise(seed + 1, turn / 4.3F));
            const Vec middle{left_ + kCoilsWidth / 2 + 16 * smooth_noise(seed + 2, turn / 9),
                             bottom_ + 8 + kCoilsHigh / 2 + climb * share + 12 * smooth_noise(seed + 3, turn / 7), 0};
            const float lean = 0.25F * smooth_noise(seed + 4, turn / 11);
            const float x = wide * std::cos(turn), y = high * std::sin(turn);
            way.push_back(middle +
                          Vec{x * std::cos(lean) - y * std::sin(lean), x * std::sin(lean) + y * std::cos(lean), 0});
            if (way.size() > 1) passed += norm(way.back() - way[way.size() - 2]);
            turn += 0.05F;
        }
        return way;
    }

    /// From the last coil in a long curve to the stitch that comes off next.
    std::vector<Vec> with_lead(std::vector<Vec> way) const {
        const Vec from = way.back(), heading = unit(from - way[way.size() - 2]), to = blank_.end_of_yarn();
        const float far = norm(to - from);
        const Vec a = from + heading * (0.45F * far), b = to + Vec{0.25F * far, 0.42F * far, 4};
        const int steps = static_cast<int>(far);
        for (int i = 1; i <= steps; ++i) {  // Bezier's cubic
            const float t = static_cast<float>(i) / static_cast<float>(steps), s = 1 - t;
            way.push_back(from * (s * s * s) + a * (3 * s * s * t) + b * (3 * s * t * t) + to * (t * t * t));
        }
        return way;
    }
    static float length_of(const std::vector<Vec>& way) {
        float length = 0;
        for (std::size_t i = 1; i < way.size(); ++i) length += norm(way[i] - way[i - 1]);
        return length;
    }

    /// Each loop leaves a wave in the yarn.
    Vec crimped(Vec middle, Vec along_way, float along) const {
        const auto seed = static_cast<std::uint32_t>(options_.seed) * 29U + 80U;
        const float waves = along / blank_.loop_mm() + 0.35F * smooth_noise(seed, along / 60);
        const float size = 0.155F * blank_.loop_mm() * (0.75F + 0.35F * smooth_noise(seed + 1, along / 90));
        const float off = size * std::sin(2 * kPi * waves);
        return middle + Vec{-along_way.y, along_way.x, 0} * off +
               along_way * (-0.42F * size * std::sin(4 * kPi * waves));
    }

    std::size_t cell(Vec p) const {
        const int c = std::clamp(static_cast<int>((p.x - left_ + kMargin) / kCell), 0, columns_ - 1);
        const int r = std::clamp(static_cast<int>((p.y - bottom_ + kMargin) / kCell), 0, rows_ - 1);
        return static_cast<std::size_t>(r) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(c);
    }

    void lay(std::vector<LaidPoint>& points, std::vector<Vec>& places, std::vector<StrandPath>& paths) {
        const int strands = options_.layout.strands;
        const float wide = diameter_ * static_cast<float>(strands);
        std::vector<std::size_t> cells;
        for (std::size_t i = 0; i < points.size(); ++i)
            for (int b = -2; b <= 2; ++b)
                cells.push_back(cell(places[i] + points[i].sideways * (0.24F * wide * static_cast<float>(b))));
        const std::vector<LaidPoint> wished = points;
        layers_.lay(points, cells);
        const auto seed = static_cast<std::uint32_t>(options_.seed) * 41U + 90U;
        for (std::size_t i = 0; i < points.size(); ++i)
            for (int s = 0; s < strands; ++s) {
                const float turn = points[i].along_mm / 45 + 1.5F * smooth_noise(seed, points[i].along_mm / 130);
                const float beside = strands == 1 ? 0 : (s == 0 ? 0.62F : -0.62F) * diameter_;
                const bool in_coils = places[i].x > left_ - kMargin + 1;
                const float z = std::max({in_coils ? points[i].level : 0.0F, wished[i].level, diameter_ / 2}) +
                                std::abs(beside) + beside * std::sin(turn) * 0.8F;
                const Vec p = places[i] + points[i].sideways * (beside * std::cos(turn));
                paths[static_cast<std::size_t>(s)].points.push_back({p.x, p.y, z, points[i].along_mm});
            }
        points.clear();
        places.clear();
    }

    const HalfRavelledOptions& options_;
    const RavelledBlank& blank_;
    float diameter_, left_, bottom_, high_;
    int columns_, rows_;
    Layers layers_;
};

}  // namespace

HalfRavelled half_ravelled(const HalfRavelledOptions& options) {
    require(options.layout.stitches > 0 && options.layout.rows > 0 && options.share > 0 && options.share < 1,
            "some of a blank is off");
    const RavelledBlank blank(options);
    HalfRavelled out;
    out.paths = blank.bloom();
    for (StrandPath& path : blank.left()) out.paths.push_back(std::move(path));
    out.still_knitted = out.paths.size();
    for (StrandPath& path : Coils(options, blank).laid()) out.paths.push_back(std::move(path));
    constexpr float kAbove = 24;  // mm that the lead may reach over the edge
    out.width_mm = blank.width() + kBetween + kCoilsWidth;
    out.length_mm = blank.top() - blank.bottom() + kAbove;
    for (StrandPath& path : out.paths)
        for (WoundPoint& p : path.points) {
            p.x -= out.width_mm / 2;
            p.y -= (blank.top() + blank.bottom() + kAbove) / 2;
        }
    return out;
}

}  // namespace loopread
