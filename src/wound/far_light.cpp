#include "wound/far_light.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "loopread/base/parallel.h"
#include "wound/smooth_noise.h"

namespace loopread::wound {
namespace {

/// Mean height over squares of pixels: what far-off neighbours look like.
Grid<float> coarser(const Grid<float>& height, int by, int threads) {
    Grid<float> out((height.rows() + by - 1) / by, (height.columns() + by - 1) / by);
    in_parallel(static_cast<std::size_t>(out.rows()), thread_count(threads), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            for (int c = 0; c < out.columns(); ++c) {
                float sum = 0;
                int count = 0;
                for (int y = r * by; y < std::min((r + 1) * by, height.rows()); ++y)
                    for (int x = c * by; x < std::min((c + 1) * by, height.columns()); ++x, ++count)
                        sum += height(y, x);
                out(r, c) = sum / static_cast<float>(count);
            }
        };
    });
    return out;
}

float held(const Grid<float>& grid, int row, int column) {
    return grid(std::clamp(row, 0, grid.rows() - 1), std::clamp(column, 0, grid.columns() - 1));
}

/// Between the middles of pixels.
float between(const Grid<float>& grid, float row, float column) {
    const float y = std::floor(row), x = std::floor(column);
    const int r = static_cast<int>(y), c = static_cast<int>(x);
    const float v = row - y, u = column - x;
    return (held(grid, r, c) * (1 - u) + held(grid, r, c + 1) * u) * (1 - v) +
           (held(grid, r + 1, c) * (1 - u) + held(grid, r + 1, c + 1) * u) * v;
}

struct Tap {
    int row, column;
};
constexpr int kDirections = 8;

/// The part of the sky that neighbours at one distance take away, [0, 1].
class Crevice {
public:
    Crevice(const Grid<float>& height, float reach, float slope_of_table)
        : height_(height), reach_(reach), slope_(slope_of_table) {
        for (std::size_t i = 0; i < kDirections; ++i) {
            const float angle = (static_cast<float>(i) + reach) * (2 * std::numbers::pi_v<float> / kDirections);
            taps_[i] = {static_cast<int>(std::lround(reach * std::sin(angle))),
                        static_cast<int>(std::lround(reach * std::cos(angle)))};
        }
    }

    float at(int row, int column) const {
        const float own = height_(row, column);
        float sum = 0;
        for (const Tap& tap : taps_) {
            const int r = std::clamp(row + tap.row, 0, height_.rows() - 1);
            const int c = std::clamp(column + tap.column, 0, height_.columns() - 1);
            const float steep = (height_(r, c) - own - slope_ * static_cast<float>(r - row)) / reach_;
            // What stands high above is not beside this place but before it.
            const float near = std::clamp(2.2F - 0.45F * steep, 0.0F, 1.0F);
            sum += std::clamp(steep, 0.0F, 1.4F) * near;
        }
        return sum / (kDirections * 1.4F);
    }

private:
    const Grid<float>& height_;
    std::array<Tap, kDirections> taps_{};
    float reach_, slope_;
};

/// How much of the lamp a march towards it meets nothing on.
class Shadow {
public:
    Shadow(const Grid<float>& height, float first, float last, int steps) : height_(height) {
        const Vec lamp = toward_lamp();
        const float flat = std::sqrt(lamp.x * lamp.x + lamp.y * lamp.y);
        step_ = {lamp.x / flat, lamp.y / flat, lamp.z / flat};
        const float ratio = std::pow(last / first, 1.0F / static_cast<float>(steps));
        for (int i = 0; i < steps; ++i) distances_.push_back(first * std::pow(ratio, static_cast<float>(i)));
        ratio_ = ratio;
    }
    /// @param own  height of the place, which may lie under what the picture shows there
    float at(int row, int column, float own) const {
        // Marches of neighbours take different steps, so that none shows as a line.
        const float jitter = std::pow(ratio_, 0.5F * hashed(5, row, column));
        float light = 1;
        for (const float distance : distances_) {
            const float d = distance * jitter;
            if (static_cast<float>(row) + step_.y * d < 0 || static_cast<float>(column) + step_.x * d < 0) break;
            const float above =
                between(height_, static_cast<float>(row) + step_.y * d, static_cast<float>(column) + step_.x * d) -
                own - step_.z * d;
            constexpr float kSoft = 0.85F;  // size of the lamp as seen from here; a window
            light = std::min(light, std::clamp(0.5F - above / (kSoft * d + 0.5F), 0.0F, 1.0F));
        }
        return light;
    }

private:
    const Grid<float>& height_;
    Vec step_;
    float ratio_ = 1;
    std::vector<float> distances_;
};

/// The same over a short way, in whole pixels.
class NearShadow {
public:
    NearShadow(const Grid<float>& height, float last) : height_(height) {
        const Vec lamp = toward_lamp();
        const float flat = std::sqrt(lamp.x * lamp.x + lamp.y * lamp.y);
        for (std::size_t i = 0; i < kSteps; ++i) {
            const float d = kFirst * std::pow(last / kFirst, static_cast<float>(i) / (kSteps - 1));
            steps_[i] = {static_cast<int>(std::lround(d * lamp.y / flat)),
                         static_cast<int>(std::lround(d * lamp.x / flat)), d * lamp.z / flat, kSoft * d + 0.8F};
        }
    }
    float at(int row, int column) const {
        const float own = height_(row, column);
        float light = 1;
        for (const Step& step : steps_) {
            const float above = held(height_, row + step.row, column + step.column) - own - step.rise;
            light = std::min(light, std::clamp(0.5F - above / step.soft, 0.0F, 1.0F));
        }
        return light;
    }

private:
    static constexpr std::size_t kSteps = 7;
    static constexpr float kFirst = 1.3F, kSoft = 0.85F;
    struct Step {
        int row, column;
        float rise, soft;
    };
    const Grid<float>& height_;
    std::array<Step, kSteps> steps_{};
};

/// Means over squares, by running sums.
Grid<float> smoothed(const Grid<float>& grid, int reach) {
    const auto pass = [reach](int rows, int columns, auto&& from, auto&& to) {
        const float part = 1 / static_cast<float>(2 * reach + 1);
        for (int r = 0; r < rows; ++r) {
            const auto held_at = [&](int c) { return from(r, std::clamp(c, 0, columns - 1)); };
            float sum = 0;
            for (int d = -reach; d <= reach; ++d) sum += held_at(d);
            for (int c = 0; c < columns; ++c) {
                to(r, c) = sum * part;
                sum += held_at(c + reach + 1) - held_at(c - reach);
            }
        }
    };
    Grid<float> across(grid.rows(), grid.columns()), out(grid.rows(), grid.columns());
    pass(
        grid.rows(), grid.columns(), [&](int r, int c) { return grid(r, c); },
        [&](int r, int c) -> float& { return across(r, c); });
    pass(
        grid.columns(), grid.rows(), [&](int c, int r) { return across(r, c); },
        [&](int c, int r) -> float& { return out(r, c); });
    return out;
}

/// Coarse pixels at which anything stands out of the bare table nearby.
Grid<char> busy_places(const SeenPixels& seen, int by, int reach) {
    Grid<char> own((seen.height.rows() + by - 1) / by, (seen.height.columns() + by - 1) / by, 0), out = own;
    for (int r = 0; r < seen.coverage.rows(); ++r)
        for (int c = 0; c < seen.coverage.columns(); ++c)
            if (seen.coverage(r, c) > 0) own(r / by, c / by) = 1;
    for (int r = 0; r < own.rows(); ++r)
        for (int c = 0; c < own.columns(); ++c) {
            if (own(r, c) == 0) continue;
            for (int y = std::max(0, r - reach); y <= std::min(own.rows() - 1, r + reach); ++y)
                for (int x = std::max(0, c - reach); x <= std::min(own.columns() - 1, c + reach); ++x) out(y, x) = 1;
        }
    return out;
}

}  // namespace

FarLight far_light(const SeenPixels& seen, const PaintOptions& options) {
    constexpr float kTableLift = 0.05F;  // coarse pixels: what rounding may lift the table by
    constexpr int kCoarse = 4;
    const auto scale = static_cast<float>(options.view.pixels_per_mm);
    const float slope = seen_table(options).per_row;
    const Grid<float> coarse = coarser(seen.height, kCoarse, options.threads);
    Grid<float> coarse_height = coarse;
    for (float& h : coarse_height) h /= kCoarse;

    // Distances in mm: a strand's, some strands', a bundle's; the far ones are looked up in the coarse picture.
    const Crevice by_strand(seen.height, std::max(1.5F, 0.6F * scale), slope);
    const Crevice by_strands(coarse_height, std::max(1.0F, 1.9F * scale / kCoarse), slope);
    const Crevice by_bundle(coarse_height, std::max(2.0F, 6.0F * scale / kCoarse), slope);
    const Crevice by_heap(coarse_height, std::max(4.0F, 16.0F * scale / kCoarse), slope);
    const float far = 110 * scale;
    const NearShadow from_near(seen.height, 2.5F * scale);
    const Grid<char> busy = busy_places(seen, kCoarse, static_cast<int>(2.5F * scale) / kCoarse + 1);
    const Shadow from_far(coarse_height, 2.0F * scale / kCoarse, far / kCoarse, 40);

    Grid<float> on_yarn(coarse.rows(), coarse.columns()), on_table = on_yarn, coarse_sky = on_yarn, weight = on_yarn;
    const SeenTable table = seen_table(options);
    in_parallel(static_cast<std::size_t>(coarse.rows()), thread_count(options.threads), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            const float bare = table.height((static_cast<float>(r) + 0.5F) * kCoarse) / kCoarse;
            for (int c = 0; c < coarse.columns(); ++c) {
                on_table(r, c) = from_far.at(r, c, bare + kTableLift);
                const bool yarn = coarse_height(r, c) > bare + kTableLift;
                weight(r, c) = yarn ? 1.0F : 1e-6F;
                on_yarn(r, c) = weight(r, c) * (yarn ? from_far.at(r, c, coarse_height(r, c)) : on_table(r, c));
                coarse_sky(r, c) =
                    (1 - 0.75F * by_strands.at(r, c)) * (1 - 0.8F * by_bundle.at(r, c)) * (1 - 0.8F * by_heap.at(r, c));
            }
        };
    });
    // A window, not a lamp: the edges of far shadows are some mm wide. Yarn and table each keep to themselves, since
    // beside the edge of a body lie places far behind it.
    const int soft = std::clamp(static_cast<int>(0.5F + 2.2F * scale / kCoarse), 1, 12);
    on_table = smoothed(smoothed(on_table, soft), soft);
    on_yarn = smoothed(on_yarn, soft / 2 + 1);
    weight = smoothed(weight, soft / 2 + 1);
    for (int r = 0; r < coarse.rows(); ++r)
        for (int c = 0; c < coarse.columns(); ++c) on_yarn(r, c) /= std::max(weight(r, c), 1e-6F);
    coarse_sky = smoothed(coarse_sky, 1);

    FarLight light{Grid<float>(options.rows, options.columns), Grid<float>(options.rows, options.columns)};
    in_parallel(static_cast<std::size_t>(options.rows), thread_count(options.threads), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            const float at_row = (static_cast<float>(r) + 0.5F) / kCoarse - 0.5F;
            for (int c = 0; c < options.columns; ++c) {
                const float at_column = (static_cast<float>(c) + 0.5F) / kCoarse - 0.5F;
                const float covered = seen.coverage(r, c);
                light.lamp(r, c) = (covered > 0 ? covered * between(on_yarn, at_row, at_column) : 0) +
                                   (covered < 1 ? (1 - covered) * between(on_table, at_row, at_column) : 0);
                light.sky(r, c) = between(coarse_sky, at_row, at_column);
                if (busy(r / kCoarse, c / kCoarse) == 0) continue;
                light.lamp(r, c) *= from_near.at(r, c);
                light.sky(r, c) *= 1 - 0.85F * by_strand.at(r, c);
            }
        };
    });
    return light;
}

}  // namespace loopread::wound
