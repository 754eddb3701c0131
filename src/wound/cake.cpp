#include <cmath>
#include <numbers>

#include "loopread/base/require.h"
#include "loopread/wound/ball.h"
#include "wound/layered.h"
#include "wound/smooth_noise.h"

namespace loopread {
namespace {

using namespace wound;

// Ups and downs in one turn of the spindle: near 6/5, so that bands of strands cross in diamonds; chosen by eye.
constexpr double kSwings = 1.2 + 0.0034;

class CakeWinder {
public:
    explicit CakeWinder(const BallOptions& options)
        : options_(options),
          size_(cake_size(options.yarn)),
          diameter_(static_cast<float>(options.yarn.diameter.value)),
          wide_(diameter_ * static_cast<float>(options.yarn.strands)),
          wound_mm_(options.yarn.length.value - kLooseEndMm),
          height_(static_cast<float>(size_.height.value)),
          inner_(static_cast<float>(size_.hole.value) / 2),
          outer_(static_cast<float>(size_.diameter.value) / 2),
          around_(static_cast<int>(2 * kPi * outer_ / (0.45F * diameter_))),
          up_(static_cast<int>(height_ / (0.45F * diameter_))),
          layers_(static_cast<std::size_t>(around_) * static_cast<std::size_t>(up_), diameter_) {}

    void wind() {
        double turn = 0, along = 0;
        std::vector<LaidPoint> points;
        const auto seed = static_cast<std::uint32_t>(options_.seed) * 17U + 3U;
        while (along < wound_mm_) {
            const float radius = radius_at(along);
            const double swing =
                turn * kSwings + 0.01 * static_cast<double>(smooth_noise(seed, static_cast<float>(along) / 900));
            const auto phase = static_cast<float>((swing - std::floor(swing)) * 2 * std::numbers::pi);
            const float level = 0.97F * std::sin(phase);
            const float rise =
                std::asin(level) / std::asin(0.97F) + 0.012F * smooth_noise(seed + 1, static_cast<float>(along) / 60);
            const auto angle = static_cast<float>((turn - std::floor(turn)) * 2 * std::numbers::pi);
            const float slope = height_ / 2 * static_cast<float>(kSwings) * 0.97F * std::cos(phase) /
                                (std::sqrt(1 - level * level) * std::asin(0.97F));  // mm up in a radian
            const float tilt = std::atan2(slope, radius);
            // direction: angle, height; sideways in the wall's own plane
            points.push_back({{angle, rise, 0}, {-std::sin(tilt), std::cos(tilt), 0}, static_cast<float>(along), 0});
            const float step = 0.6F * diameter_;
            turn += static_cast<double>(step * std::cos(tilt) / (2 * kPi * radius));
            along += static_cast<double>(step);
            if (points.size() == 1024 || along >= wound_mm_) lay(points);
        }
        wall_ = wall_means();
    }

    std::vector<StrandPath> paths() const {
        std::vector<StrandPath> out;
        const float turned = -0.95F - points_.back().direction.x;  // the outer end comes off at the right in front
        for (int s = 0; s < options_.yarn.strands; ++s) {
            StrandPath path{options_.first_strand + s, diameter_ / 2, {}};
            bool to_end = false;
            for (const LaidPoint& point : points_) {
                to_end = !hidden(point);
                if (!to_end) {
                    close(path, out);
                    continue;
                }
                const Vec p = place_of(point, beside(options_, s, point.along_mm), turned);
                path.points.push_back({p.x, p.y, p.z, along_run(options_, static_cast<double>(point.along_mm))});
            }
            if (to_end && path.points.size() > 1) {
                const WoundPoint &end = path.points.back(), &before = path.points[path.points.size() - 2];
                add_loose_end(path, {end.x, end.y, end.z}, Vec{end.x - before.x, end.y - before.y, end.z - before.z},
                              options_, wound_mm_);
            }
            close(path, out);
        }
        return out;
    }

private:
    float radius_at(double along_mm) const {
        const double share = along_mm / wound_mm_;
        const auto in = static_cast<double>(inner_), out = static_cast<double>(outer_);
        return static_cast<float>(std::sqrt(in * in + (out * out - in * in) * share));
    }
    std::size_t cell(float angle, float rise) const {
        const float place = angle / (2 * kPi);
        const int a = static_cast<int>((place - std::floor(place)) * static_cast<float>(around_)) % around_;
        return static_cast<std::size_t>(row(rise)) * static_cast<std::size_t>(around_) + static_cast<std::size_t>(a);
    }
    /// Rims are round, and the top sinks a little towards the hole.
    float half_height(float radius) const {
        const float to_rim = std::clamp((radius - outer_ + 5) / 5, 0.0F, 1.0F);
        const float to_hole = std::clamp((inner_ + 7 - radius) / 7, 0.0F, 1.0F);
        return height_ / 2 - 3.2F * to_rim * to_rim - 2.5F * to_hole * to_hole;
    }
    Vec place_of(const LaidPoint& p, Beside off, float turned) const {
        const float radius = surface(p.level, p.direction.y) + off.outward;
        const float angle = p.direction.x + turned + off.sideways * p.sideways.x / radius;
        const float z = height_ / 2 + half_height(radius) * p.direction.y + off.sideways * p.sideways.y;
        return {radius * std::cos(angle), radius * std::sin(angle), z + diameter_ / 2};
    }
    /// Distance from the axis: yarn fills the room from the hole to the wall, and the wall is straight on the whole.
    float surface(float level, float rise) const {
        const float wall = wall_[static_cast<std::size_t>(row(rise))];
        const float out = (outer_ - inner_) * (level / wall - 1);
        constexpr float kHill = 1.3F;  // mm: what stands out of the wall is drawn in
        return outer_ + (out > 0 ? kHill * std::tanh(out / kHill) : out);
    }
    bool hidden(const LaidPoint& p) const {
        const float own = surface(p.level, p.direction.y);
        const bool seen_from_above = p.direction.y > 0.93F, in_hole = own < inner_ + 3;
        return !seen_from_above && !in_hole &&
               surface(layers_.at(cell(p.direction.x, p.direction.y)), p.direction.y) > own + 4 * diameter_;
    }
    int row(float rise) const {
        return std::clamp(static_cast<int>((rise * 0.5F + 0.5F) * static_cast<float>(up_)), 0, up_ - 1);
    }
    std::vector<float> wall_means() const {
        std::vector<float> means(static_cast<std::size_t>(up_)), smooth(means.size());
        for (int u = 0; u < up_; ++u) {
            double sum = 0;
            for (int a = 0; a < around_; ++a)
                sum += static_cast<double>(layers_.at(static_cast<std::size_t>(u) * static_cast<std::size_t>(around_) +
                                                      static_cast<std::size_t>(a)));
            means[static_cast<std::size_t>(u)] = static_cast<float>(sum / around_);
        }
        for (int u = 0; u < up_; ++u) {
            float sum = 0;
            for (int d = -3; d <= 3; ++d) sum += means[static_cast<std::size_t>(std::clamp(u + d, 0, up_ - 1))];
            smooth[static_cast<std::size_t>(u)] = std::max(diameter_, sum / 7);
        }
        return smooth;
    }
    static void close(StrandPath& path, std::vector<StrandPath>& out) {
        if (path.points.size() > 1) out.push_back(path);
        path.points.clear();
    }
    void lay(std::vector<LaidPoint>& points) {
        std::vector<std::size_t> cells;
        for (const LaidPoint& p : points)
            for (int b = -2; b <= 2; ++b) {
                const float off = 0.24F * wide_ * static_cast<float>(b);
                cells.push_back(cell(p.direction.x + off * p.sideways.x / radius_at(static_cast<double>(p.along_mm)),
                                     p.direction.y + off * p.sideways.y / (height_ / 2)));
            }
        layers_.lay(points, cells);
        points_.insert(points_.end(), points.begin(), points.end());
        points.clear();
    }

    const BallOptions& options_;
    CakeSize size_;
    float diameter_, wide_;
    double wound_mm_;
    float height_, inner_, outer_;
    int around_, up_;
    Layers layers_;
    std::vector<float> wall_;  // mean height of the outermost yarn at each height
    std::vector<LaidPoint> points_;
};

}  // namespace

std::vector<StrandPath> cake_paths(const BallOptions& options) {
    require(options.yarn.length.value > 4 * kLooseEndMm, "a cake takes more yarn than its loose end");
    CakeWinder winder(options);
    winder.wind();
    return winder.paths();
}

}  // namespace loopread
