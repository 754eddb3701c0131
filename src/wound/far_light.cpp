#include "wound/far_light.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
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

float within(float value, float least, float most) {
    return value < least ? least : value > most ? most : value;
}

/// Between the middles of pixels, a place not beyond the first ones.
float between(const Grid<float>& grid, float row, float column) {
    const auto r = static_cast<int>(row), c = static_cast<int>(column);
    const int below = std::min(r + 1, grid.rows() - 1), beside = std::min(c + 1, grid.columns() - 1);
    const float v = row - static_cast<float>(r), u = column - static_cast<float>(c);
    const float *upper = grid.row(r), *lower = grid.row(below);
    return (upper[c] * (1 - u) + upper[beside] * u) * (1 - v) + (lower[c] * (1 - u) + lower[beside] * u) * v;
}

/// visit(c, from) for each column of [first, last): what lies `off` columns from it, held at the row's ends.
template <class Visit>
void each_beside(int columns, int first, int last, int off, Visit visit) {
    const int inner_first = std::clamp(-off, first, last), inner_last = std::clamp(columns - off, inner_first, last);
    for (int c = first; c < inner_first; ++c) visit(c, 0);
    for (int c = inner_first; c < inner_last; ++c) visit(c, c + off);
    for (int c = inner_last; c < last; ++c) visit(c, columns - 1);
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

    /// Of the columns [first, last) of a row.
    void row(int row, int first, int last, float* taken) const {
        const float* own = height_.row(row);
        for (int c = first; c < last; ++c) taken[c] = 0;
        for (const Tap& tap : taps_) {
            const int r = std::clamp(row + tap.row, 0, height_.rows() - 1);
            const float* there = height_.row(r);
            const float table = slope_ * static_cast<float>(r - row), part = 1 / reach_;
            each_beside(height_.columns(), first, last, tap.column, [=](int c, int from) {
                const float steep = (there[from] - own[c] - table) * part;
                // What stands high above is not beside this place but before it.
                const float near = within(2.2F - 0.45F * steep, 0, 1);
                taken[c] += within(steep, 0, 1.4F) * near;
            });
        }
        for (int c = first; c < last; ++c) taken[c] *= 1 / (kDirections * 1.4F);
    }

private:
    const Grid<float>& height_;
    std::array<Tap, kDirections> taps_{};
    float reach_, slope_;
};

/// How much of the lamp a march towards it meets nothing on.
class Shadow {
public:
    /// @param slope  of the table, a row: heights are compared above it
    Shadow(const Grid<float>& height, float first, float last, float slope) : height_(height), slope_(slope) {
        constexpr int kSteps = 40;
        const Vec lamp = kTowardLamp;
        const float flat = std::sqrt(lamp.x * lamp.x + lamp.y * lamp.y);
        step_ = {lamp.x / flat, lamp.y / flat, lamp.z / flat};
        ratio_ = std::pow(last / first, 1.0F / kSteps);
        for (int i = 0; i < kSteps; ++i) distances_.push_back(first * std::pow(ratio_, static_cast<float>(i)));
        for (int r = 0; r < height.rows(); ++r) {
            const float* row = height.row(r);
            highest_ = std::max(highest_, *std::max_element(row, row + height.columns()) - above_table(r));
        }
    }
    /// Marches of neighbours take different steps, so that none shows as a line.
    float jitter(int row, int column) const { return std::pow(ratio_, 0.5F * hashed(5, row, column)); }
    /// @param own  height of the place, which may lie under what the picture shows there
    float at(int row, int column, float own, float jitter) const {
        const float rise = step_.z - slope_ * step_.y, room = highest_ - (own - above_table(row));
        float light = 1;
        for (const float distance : distances_) {
            const float d = distance * jitter;
            const float y = static_cast<float>(row) + step_.y * d, x = static_cast<float>(column) + step_.x * d;
            if (y < 0 || x < 0 || light <= 0) break;
            constexpr float kSoft = 0.85F;  // size of the lamp as seen from here; a window
            const float soft = kSoft * d + 0.5F;
            if (rise * d - room > 0.5F * soft) break;  // over everything, and so from here on
            const float above = between(height_, y, x) - own - step_.z * d;
            const float free = within(0.5F - above / soft, 0, 1);
            light = free < light ? free : light;
        }
        return light;
    }

private:
    float above_table(int row) const { return slope_ * static_cast<float>(row); }
    const Grid<float>& height_;
    float slope_;
    Vec step_;
    float ratio_ = 1, highest_ = -1e9F;
    std::vector<float> distances_;
};

/// The same over a short way, in whole pixels.
class NearShadow {
public:
    NearShadow(const Grid<float>& height, float last) : height_(height) {
        const Vec lamp = kTowardLamp;
        const float flat = std::sqrt(lamp.x * lamp.x + lamp.y * lamp.y);
        for (std::size_t i = 0; i < kSteps; ++i) {
            const float d = kFirst * std::pow(last / kFirst, static_cast<float>(i) / (kSteps - 1));
            steps_[i] = {static_cast<int>(std::lround(d * lamp.y / flat)),
                         static_cast<int>(std::lround(d * lamp.x / flat)), d * lamp.z / flat, 1 / (kSoft * d + 0.8F)};
        }
    }
    /// Of the columns [first, last) of a row.
    void row(int row, int first, int last, float* light) const {
        const float* own = height_.row(row);
        for (int c = first; c < last; ++c) light[c] = 1;
        for (const Step& step : steps_) {
            const float* there = height_.row(std::clamp(row + step.row, 0, height_.rows() - 1));
            each_beside(height_.columns(), first, last, step.column,
                        [=, rise = step.rise, hard = step.hard](int c, int from) {
                            const float free = within(0.5F - (there[from] - own[c] - rise) * hard, 0, 1);
                            light[c] = free < light[c] ? free : light[c];
                        });
        }
    }

private:
    static constexpr std::size_t kSteps = 7;
    static constexpr float kFirst = 1.3F, kSoft = 0.85F;
    struct Step {
        int row, column;
        float rise, hard;
    };
    const Grid<float>& height_;
    std::array<Step, kSteps> steps_{};
};

/// Means over squares, by running sums.
Grid<float> smoothed(const Grid<float>& grid, int reach) {
    const int rows = grid.rows(), columns = grid.columns();
    const float part = 1 / static_cast<float>(2 * reach + 1);
    Grid<float> across(rows, columns), out(rows, columns);
    for (int r = 0; r < rows; ++r) {
        const float* from = grid.row(r);
        const auto held = [&](int c) { return from[std::clamp(c, 0, columns - 1)]; };
        float sum = 0;
        for (int d = -reach; d <= reach; ++d) sum += held(d);
        for (int c = 0; c < columns; ++c) {
            across(r, c) = sum * part;
            sum += held(c + reach + 1) - held(c - reach);
        }
    }
    const auto held = [&](int r) { return across.row(std::clamp(r, 0, rows - 1)); };
    std::vector<float> sums(static_cast<std::size_t>(columns), 0.0F);
    for (int d = -reach; d <= reach; ++d)
        std::transform(sums.begin(), sums.end(), held(d), sums.begin(), std::plus<float>());
    for (int r = 0; r < rows; ++r) {
        float *to = out.row(r), *sum = sums.data();
        const float *added = held(r + reach + 1), *dropped = held(r - reach);
        for (int c = 0; c < columns; ++c) {
            to[c] = sum[c] * part;
            sum[c] += added[c] - dropped[c];
        }
    }
    return out;
}

/// Coarse pixels at which anything stands out of the bare table nearby.
Grid<char> busy_places(const SeenPixels& seen, int by, int reach) {
    Grid<char> own((seen.height.rows() + by - 1) / by, (seen.height.columns() + by - 1) / by, 0);
    for (int r = 0; r < seen.coverage.rows(); ++r) {
        const float* covered = seen.coverage.row(r);
        char* busy = own.row(r / by);
        for (int c = 0; c < own.columns(); ++c) {
            const std::ptrdiff_t from = static_cast<std::ptrdiff_t>(c) * by;
            const std::ptrdiff_t end = std::min<std::ptrdiff_t>(from + by, seen.coverage.columns());
            busy[c] |=
                static_cast<char>(std::any_of(covered + from, covered + end, [](float part) { return part > 0; }));
        }
    }
    Grid<char> across(own.rows(), own.columns(), 0), out = across;
    const auto spread = [reach](int at, int count, auto&& mark) {
        for (int i = std::max(0, at - reach); i <= std::min(count - 1, at + reach); ++i) mark(i);
    };
    for (int r = 0; r < own.rows(); ++r)
        for (int c = 0; c < own.columns(); ++c)
            if (own(r, c) != 0) spread(c, own.columns(), [&](int x) { across(r, x) = 1; });
    for (int r = 0; r < own.rows(); ++r)
        spread(r, own.rows(), [&](int y) {
            std::transform(across.row(r), across.row(r) + own.columns(), out.row(y), out.row(y),
                           [](char a, char b) { return static_cast<char>(a | b); });
        });
    return out;
}

constexpr int kCoarse = 4;  // pixels along a square

/// A row of pixels between the middles of coarse ones.
class Finer {
public:
    Finer(int rows, int columns) : rows_(rows), columns_(columns), mixed_(static_cast<std::size_t>(columns)) {}

    /// @param wide  as many as the picture has columns
    void row(const Grid<float>& coarse, int row, std::vector<float>& wide) {
        const float place = std::max(0.0F, (static_cast<float>(row) + 0.5F) / kCoarse - 0.5F);
        const int r = std::min(static_cast<int>(place), rows_ - 1);
        const float v = std::min(1.0F, place - static_cast<float>(r));
        const float *upper = coarse.row(r), *lower = coarse.row(std::min(r + 1, rows_ - 1));
        for (int c = 0; c < columns_; ++c) mixed_[static_cast<std::size_t>(c)] = upper[c] * (1 - v) + lower[c] * v;
        for (std::size_t c = 0; c < wide.size(); ++c) {
            const float at = std::max(0.0F, (static_cast<float>(c) + 0.5F) / kCoarse - 0.5F);
            const auto i = static_cast<std::size_t>(static_cast<int>(at));
            const float u = at - static_cast<float>(static_cast<int>(i));
            wide[c] = mixed_[i] * (1 - u) + mixed_[std::min(i + 1, mixed_.size() - 1)] * u;
        }
    }

private:
    int rows_, columns_;
    std::vector<float> mixed_;
};

}  // namespace

struct FarLight::Parts {
    Parts(const SeenPixels& s, const PaintOptions& options)
        : seen(s),
          scale(static_cast<float>(options.view.pixels_per_mm)),
          table(seen_table(options)),
          // Distances in mm: a strand's, some strands', a bundle's; the far ones are looked up in the coarse picture.
          by_strand(s.height, std::max(1.5F, 0.6F * scale), table.per_row),
          from_near(s.height, 2.5F * scale),
          busy(busy_places(s, kCoarse, static_cast<int>(2.5F * scale) / kCoarse + 1)) {
        Grid<float> height = coarser(s.height, kCoarse, options.threads);
        for (float& h : height) h /= kCoarse;
        march(height, options.threads);
        soften();
    }

    void march(const Grid<float>& height, int threads);
    void soften();

    const SeenPixels& seen;
    float scale;
    SeenTable table;
    Crevice by_strand;
    NearShadow from_near;
    Grid<char> busy;
    Grid<float> on_yarn, on_table, sky, weight;  // coarse
};

void FarLight::Parts::march(const Grid<float>& height, int threads) {
    constexpr float kTableLift = 0.05F;  // coarse pixels: what rounding may lift the table by
    const Crevice by_strands(height, std::max(1.0F, 1.9F * scale / kCoarse), table.per_row);
    const Crevice by_bundle(height, std::max(2.0F, 6.0F * scale / kCoarse), table.per_row);
    const Crevice by_heap(height, std::max(4.0F, 16.0F * scale / kCoarse), table.per_row);
    const Shadow from_far(height, 2.0F * scale / kCoarse, 110 * scale / kCoarse, table.per_row);
    on_yarn = on_table = sky = weight = Grid<float>(height.rows(), height.columns());
    in_parallel(static_cast<std::size_t>(height.rows()), thread_count(threads), [&] {
        const auto columns = static_cast<std::size_t>(height.columns());
        return [&, strands = std::vector<float>(columns), bundle = std::vector<float>(columns),
                heap = std::vector<float>(columns)](std::size_t row) mutable {
            const int r = static_cast<int>(row);
            const float bare = table.height((static_cast<float>(r) + 0.5F) * kCoarse) / kCoarse;
            by_strands.row(r, 0, height.columns(), strands.data());
            by_bundle.row(r, 0, height.columns(), bundle.data());
            by_heap.row(r, 0, height.columns(), heap.data());
            for (int c = 0; c < height.columns(); ++c) {
                const auto i = static_cast<std::size_t>(c);
                const float jitter = from_far.jitter(r, c);
                on_table(r, c) = from_far.at(r, c, bare + kTableLift, jitter);
                const bool yarn = height(r, c) > bare + kTableLift;
                weight(r, c) = yarn ? 1.0F : 1e-6F;
                on_yarn(r, c) = weight(r, c) * (yarn ? from_far.at(r, c, height(r, c), jitter) : on_table(r, c));
                sky(r, c) = (1 - 0.75F * strands[i]) * (1 - 0.8F * bundle[i]) * (1 - 0.8F * heap[i]);
            }
        };
    });
}

/// A window, not a lamp: the edges of far shadows are some mm wide. Yarn and table each keep to themselves, since
/// beside the edge of a body lie places far behind it.
void FarLight::Parts::soften() {
    const int soft = std::clamp(static_cast<int>(std::lround(2.2F * scale / kCoarse)), 1, 12);
    on_table = smoothed(smoothed(on_table, soft), soft);
    on_yarn = smoothed(on_yarn, soft / 2 + 1);
    weight = smoothed(weight, soft / 2 + 1);
    std::transform(on_yarn.begin(), on_yarn.end(), weight.begin(), on_yarn.begin(),
                   [](float light, float of) { return light / std::max(of, 1e-6F); });
    sky = smoothed(sky, 1);
}

FarLight::FarLight(const SeenPixels& seen, const PaintOptions& options)
    : parts_(std::make_unique<const Parts>(seen, options)) {}

FarLight::~FarLight() = default;

void FarLight::row(int row, RowLight& light) const {
    const Parts& parts = *parts_;
    const auto columns = static_cast<std::size_t>(parts.seen.height.columns());
    light.lamp.resize(columns);
    light.sky.resize(columns);
    std::vector<float> yarn(columns), near(columns), crevice(columns);
    Finer finer(parts.sky.rows(), parts.sky.columns());
    finer.row(parts.on_table, row, light.lamp);
    finer.row(parts.on_yarn, row, yarn);
    finer.row(parts.sky, row, light.sky);
    const float* covered = parts.seen.coverage.row(row);
    for (std::size_t c = 0; c < columns; ++c) light.lamp[c] = covered[c] * yarn[c] + (1 - covered[c]) * light.lamp[c];
    const char* busy = parts.busy.row(row / kCoarse);
    for (int first = 0; first < parts.busy.columns();) {
        int last = first;
        while (last < parts.busy.columns() && busy[last] == busy[first]) ++last;
        const int from = first * kCoarse, to = std::min(last * kCoarse, static_cast<int>(columns));
        if (busy[first] != 0) {
            parts.from_near.row(row, from, to, near.data());
            parts.by_strand.row(row, from, to, crevice.data());
            for (auto c = static_cast<std::size_t>(from); c < static_cast<std::size_t>(to); ++c) {
                light.lamp[c] *= near[c];
                light.sky[c] *= 1 - 0.85F * crevice[c];
            }
        }
        first = last;
    }
}

}  // namespace loopread::wound
