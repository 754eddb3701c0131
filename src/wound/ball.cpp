#include "loopread/wound/ball.h"

#include <cmath>

#include "loopread/base/require.h"
#include "wound/layered.h"
#include "wound/smooth_noise.h"

namespace loopread {
namespace {

using namespace wound;

/// Directions as cells of a square: an octahedron folded flat (from memory).
class DirectionCells {
public:
    explicit DirectionCells(int side) : side_(side) {}
    std::size_t count() const { return static_cast<std::size_t>(side_) * static_cast<std::size_t>(side_); }
    std::size_t cell(Vec d) const {
        const float sum = std::abs(d.x) + std::abs(d.y) + std::abs(d.z);
        float u = d.x / sum, v = d.y / sum;
        if (d.z < 0) {
            const float folded = (1 - std::abs(v)) * (u < 0 ? -1.0F : 1.0F);
            v = (1 - std::abs(u)) * (v < 0 ? -1.0F : 1.0F);
            u = folded;
        }
        const auto place = [&](float t) {
            return static_cast<std::size_t>(
                std::clamp(static_cast<int>((t * 0.5F + 0.5F) * static_cast<float>(side_)), 0, side_ - 1));
        };
        return place(v) * static_cast<std::size_t>(side_) + place(u);
    }

private:
    int side_;
};

class BallWinder {
public:
    explicit BallWinder(const BallOptions& options)
        : options_(options),
          diameter_(static_cast<float>(options.yarn.diameter.value)),
          wide_(diameter_ * static_cast<float>(options.yarn.strands)),
          wound_mm_(options.yarn.length.value - kLooseEndMm),
          radius_(static_cast<float>(ball_diameter(options.yarn).value) / 2),
          cells_(static_cast<int>(3.54F * radius_ / (0.8F * diameter_))),  // so that yarn leaves no cell out
          layers_(cells_.count(), diameter_) {}

    void wind() {
        along_ = 0.04 * wound_mm_;  // the innermost never shows
        Vec here = unit({0.3F, -0.5F, 0.8F});
        Vec axis = unit(cross(here, {0, 0, 1}));
        for (int batch = 0; along_ < wound_mm_; ++batch) {
            axis = lowest_axis(here, axis, batch);
            here = wind_batch(here, axis, batch);
        }
    }

    std::vector<StrandPath> paths() const {
        const Turned turned(points_.back().direction, heading());
        std::vector<StrandPath> out;
        for (int s = 0; s < options_.yarn.strands; ++s) {
            StrandPath path{options_.first_strand + s, diameter_ / 2, {}};
            const LaidPoint* last = nullptr;
            for (const LaidPoint& point : points_) {
                if (hidden(point)) {
                    close(path, out);
                    last = nullptr;
                    continue;
                }
                last = &point;
                const Vec p = turned.at(place_of(point, beside(options_, s, point.along_mm)));
                path.points.push_back(
                    {p.x, p.y, p.z + radius_, along_run(options_, static_cast<double>(point.along_mm))});
            }
            if (last == &points_.back()) {
                const WoundPoint& end = path.points.back();
                add_loose_end(path, {end.x, end.y, end.z}, turned.at(heading()), options_, wound_mm_);
            }
            close(path, out);
        }
        return out;
    }

private:
    /// Turns the ball so that its outer end comes off at the right in front.
    class Turned {
    public:
        Turned(Vec from, Vec heading) {
            const Vec to = unit({0.72F, -0.62F, 0.22F});
            const Vec down = unit(Vec{0.15F, -0.25F, -1.0F} - to * dot(Vec{0.15F, -0.25F, -1.0F}, to));
            const Vec a = unit(from), b = unit(heading - a * dot(heading, a)), c = cross(a, b);
            const Vec d = to, e = down, f = cross(to, down);
            x_ = a * d.x + b * e.x + c * f.x;
            y_ = a * d.y + b * e.y + c * f.y;
            z_ = a * d.z + b * e.z + c * f.z;
        }
        Vec at(Vec p) const { return {dot(x_, p), dot(y_, p), dot(z_, p)}; }

    private:
        Vec x_, y_, z_;
    };

    Vec heading() const {
        const LaidPoint& end = points_.back();
        return unit(cross(end.sideways, end.direction));
    }
    float radius_at(double along_mm) const { return radius_ * static_cast<float>(std::cbrt(along_mm / wound_mm_)); }
    Vec place_of(const LaidPoint& p, Beside off) const {
        return p.direction * (surface(p.level) + off.outward) + p.sideways * off.sideways;
    }
    /// Distance from the middle: the mean surface is the ball's own; hills are drawn in by what is wound over them, and
    /// what lies in a hollow is held up by what it spans.
    float surface(float level) const {
        constexpr float kHill = 1.9F;  // mm
        return radius_ + kHill * std::tanh((level - layers_.mean()) / (1.35F * kHill));
    }
    bool hidden(const LaidPoint& p) const { return layers_.at(cells_.cell(p.direction)) > p.level + 9 * diameter_; }
    static void close(StrandPath& path, std::vector<StrandPath>& out) {
        if (path.points.size() > 1) out.push_back(path);
        path.points.clear();
    }

    /// Of some axes that lead on from here, the one whose band lies lowest: so a ball is kept round.
    Vec lowest_axis(Vec here, Vec before, int batch) const {
        Vec best = before;
        float lowest = 1e9F;
        for (int tried = 0; tried < 24; ++tried) {
            const float angle =
                (0.40F + 1.1F * (0.5F + 0.5F * hashed(seed(), batch, tried))) * (tried % 2 == 0 ? 1.0F : -1.0F);
            const Vec old = unit(before - here * dot(before, here));
            const Vec axis = old * std::cos(angle) + cross(here, old) * std::sin(angle);
            const Vec side = cross(axis, here);
            float sum = 0;
            for (int i = 0; i < 90; ++i) {
                const float turn = 2 * kPi * static_cast<float>(i) / 90;
                for (const float off : {-0.11F, 0.0F, 0.11F})
                    sum += layers_.at(cells_.cell(here * std::cos(turn) + side * std::sin(turn) + axis * off));
            }
            if (sum < lowest) {
                lowest = sum;
                best = axis;
            }
        }
        return best;
    }

    std::uint32_t seed() const { return static_cast<std::uint32_t>(options_.seed) * 31U + 7U; }

    /// Turns beside each other in a band about the axis, beginning here. @return where it ends
    Vec wind_batch(Vec here, Vec across, int batch) {
        const float radius = radius_at(along_);
        const int turns = 8 + static_cast<int>(4 * (0.5F + 0.5F * hashed(seed(), batch, 40)));
        const float pitch = 1.04F * wide_ / radius;
        const float first = -pitch * static_cast<float>(turns) / 2;
        const Vec start = unit(here * std::cos(first) - across * std::sin(first));  // on the band's own great circle
        const Vec axis = unit(across * std::cos(first) + here * std::sin(first));
        const Vec side = unit(cross(axis, start));
        for (int turn = 0; turn < turns && along_ < wound_mm_; ++turn) {
            std::vector<LaidPoint> points;
            const float step = 0.6F * diameter_ / radius;
            // The last turn ends anywhere: else all bands would meet in one place.
            const float end = 2 * kPi * (turn + 1 < turns ? 1.0F : 0.5F + 0.4F * hashed(seed(), batch, 41));
            for (float round = 0; round < end && along_ < wound_mm_;
                 round += step, along_ += static_cast<double>(step * radius)) {
                const float uneven =
                    0.30F * wide_ / radius * smooth_noise(seed(), static_cast<float>(along_) / 70, batch);
                const float lift = first + pitch * (static_cast<float>(turn) + round / (2 * kPi)) + uneven;
                const Vec flat = start * std::cos(round) + side * std::sin(round);
                const Vec direction = flat * std::cos(lift) + axis * std::sin(lift);
                points.push_back(
                    {direction, unit(axis - direction * dot(axis, direction)), static_cast<float>(along_), 0});
            }
            lay(points);
        }
        return unit(points_.back().direction);
    }

    void lay(std::vector<LaidPoint>& points) {
        std::vector<std::size_t> cells;
        cells.reserve(points.size() * Layers::kBeside);
        for (const LaidPoint& p : points)
            for (int b = -2; b <= 2; ++b)
                cells.push_back(cells_.cell(p.direction +
                                            p.sideways * (0.24F * wide_ * static_cast<float>(b) / radius_at(along_))));
        layers_.lay(points, cells);
        points_.insert(points_.end(), points.begin(), points.end());
    }

    const BallOptions& options_;
    float diameter_, wide_;
    double wound_mm_, along_ = 0;
    float radius_;
    DirectionCells cells_;
    Layers layers_;
    std::vector<LaidPoint> points_;
};

}  // namespace

std::vector<StrandPath> ball_paths(const BallOptions& options) {
    require(options.yarn.length.value > 4 * kLooseEndMm, "a ball takes more yarn than its loose end");
    BallWinder winder(options);
    winder.wind();
    return winder.paths();
}

}  // namespace loopread
