#include "lattice/relief.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numeric>
#include <utility>
#include <vector>

#include "image/shared_rows.h"

namespace loopread {
namespace {

constexpr double kSurroundings = 0.45;   // stitches each way, twice: slower changes are dye or light
constexpr double kNeighbourhood = 0.35;  // stitches each way, twice
constexpr float kFaint = 0.004F;         // of log light: what eight bits leave of relief
constexpr float kMost = 3;               // times the typical: edges of dye stand out no more than stitches do

/// Running sums wait for one another along a line, but not side by side.
constexpr int kLanes = 16;
using Lanes = std::array<float, kLanes>;

/// Means over 2 reach + 1 places of several lines at once; the ends are held constant.
void smooth_once(const std::vector<Lanes>& from, std::vector<Lanes>& to, int reach) {
    const int length = static_cast<int>(from.size());
    const auto held = [&](int i) -> const Lanes& {
        return from[static_cast<std::size_t>(std::clamp(i, 0, length - 1))];
    };
    const float part = 1.0F / static_cast<float>(2 * reach + 1);
    Lanes sum{};
    for (int i = -reach; i <= reach; ++i)
        for (std::size_t k = 0; k < kLanes; ++k) sum[k] += held(i)[k];
    for (int i = 0; i < length; ++i) {
        const Lanes &next = held(i + reach + 1), &last = held(i - reach);
        for (std::size_t k = 0; k < kLanes; ++k) {
            to[static_cast<std::size_t>(i)][k] = sum[k] * part;
            sum[k] += next[k] - last[k];
        }
    }
}

/// Twice the mean along lines of a field, which `visit(group, use)` walks: use(value, place, lane).
template <class Visit>
void smooth_lines(int lines, int length, int reach, const Visit& visit) {
    in_parallel(static_cast<std::size_t>((lines + kLanes - 1) / kLanes), thread_count(0), [&] {
        using Line = std::vector<Lanes>;
        const auto size = static_cast<std::size_t>(length);
        return [&, line = Line(size), once = Line(size)](std::size_t group) mutable {
            const int first = static_cast<int>(group) * kLanes, last = std::min(lines, first + kLanes);
            visit(first, last, [&](float& value, int place, int lane) {
                line[static_cast<std::size_t>(place)][static_cast<std::size_t>(lane)] = value;
            });
            smooth_once(line, once, reach);
            smooth_once(once, line, reach);
            visit(first, last, [&](float& value, int place, int lane) {
                value = line[static_cast<std::size_t>(place)][static_cast<std::size_t>(lane)];
            });
        };
    });
}

/// Twice the mean over a square: nearly a bell.
Field smoothed(Field field, int reach) {
    smooth_lines(field.rows(), field.columns(), reach, [&](int first, int last, const auto& use) {
        for (int y = first; y < last; ++y) {
            float* const row = field.row(y);
            for (int x = 0; x < field.columns(); ++x) use(row[x], x, y - first);
        }
    });
    smooth_lines(field.columns(), field.rows(), reach, [&](int first, int last, const auto& use) {
        for (int y = 0; y < field.rows(); ++y) {
            float* const row = field.row(y);
            for (int x = first; x < last; ++x) use(row[x], y, x - first);
        }
    });
    return field;
}

/// The middle value of a field, from every seventh pixel.
float typical(const Field& field) {
    std::vector<float> values;
    values.reserve(field.size() / 7 + 1);
    for (std::size_t i = 0; i < field.size(); i += 7)
        values.push_back(*(field.begin() + static_cast<std::ptrdiff_t>(i)));
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// What a value of a field counts for by the power about it: 1 / power up to the usual power and falling faster
/// beyond, so that edges of dye and noisy places are hardly heard.
struct Loudness {
    float usual;

    explicit Loudness(const Field& power) : usual(std::max(typical(power), kFaint * kFaint)) {}
    float operator()(float power) const {
        const float held = std::max(0.0F, power) + kFaint * kFaint;
        return 2 / (held + held * held / usual);
    }
};

/// function(value) everywhere.
template <class Function>
Field mapped(const Field& field, const Function& function) {
    Field result(field.rows(), field.columns());
    for_each_row(field.rows(), field.columns(),
                 [&](int y) { std::transform(field.row(y), field.row(y) + field.columns(), result.row(y), function); });
    return result;
}

/// Every value becomes change(value, other).
template <class Change>
void change_each(Field& field, const Field& other, const Change& change) {
    for_each_row(field.rows(), field.columns(), [&](int y) {
        std::transform(field.row(y), field.row(y) + field.columns(), other.row(y), field.row(y), change);
    });
}

double mean_of(const Field& field) {
    std::vector<double> sums(static_cast<std::size_t>(field.rows()));
    for_each_row(field.rows(), field.columns(), [&](int y) {
        sums[static_cast<std::size_t>(y)] = std::accumulate(field.row(y), field.row(y) + field.columns(), 0.0);
    });
    return std::accumulate(sums.begin(), sums.end(), 0.0) / static_cast<double>(field.size());
}

Field log_light(const Field& light) {
    const float dark = static_cast<float>(0.02 * mean_of(light) + 1e-6);
    return mapped(light, [dark](float value) { return std::log(std::max(0.0F, value) + dark); });
}

int pixels(double stitches, double stitch) {
    return std::max(1, static_cast<int>(std::lround(stitches * stitch)));
}

/// Log light less its surroundings: what changes evenly over them is gone.
Field detail_of(const Field& light, double stitch) {
    Field detail = log_light(light);
    change_each(detail, smoothed(detail, pixels(kSurroundings, stitch)), std::minus<>());
    return detail;
}

Field contrast_of(Field detail, double stitch) {
    const Field power =
        smoothed(mapped(detail, [](float value) { return value * value; }), pixels(kSurroundings, stitch));
    const Loudness loudness(power);
    const float usual = std::sqrt(loudness.usual);
    change_each(detail, power,
                [&](float value, float about) { return std::clamp(value * loudness(about) * usual, -kMost, kMost); });
    return detail;
}

/// Which way and how steeply detail rises, from its slopes across and down.
struct Rises {
    Field slant, steepness, power;
};

Rises rises_of(const Field& detail) {
    const int rows = detail.rows(), columns = detail.columns();
    Rises rises{Field(rows, columns), Field(rows, columns), Field(rows, columns)};
    for_each_row(rows, columns, [&](int y) {
        const float *here = detail.row(y), *above = detail.row(std::max(0, y - 1)),
                    *below = detail.row(std::min(rows - 1, y + 1));
        float *slant = rises.slant.row(y), *steepness = rises.steepness.row(y), *power = rises.power.row(y);
        const auto rise = [&](int x, int left, int right) {
            const float gx = here[right] - here[left], gy = below[x] - above[x];
            power[x] = gx * gx + gy * gy;
            slant[x] = 2 * gx * gy;
            steepness[x] = gx * gx - gy * gy;
        };
        rise(0, 0, std::min(1, columns - 1));
        for (int x = 1; x < columns - 1; ++x) rise(x, x - 1, x + 1);
        rise(columns - 1, std::max(0, columns - 2), columns - 1);
    });
    return rises;
}

/// Those of equal power everywhere.
Rises even_rises(const Field& detail, double stitch) {
    Rises rises = rises_of(detail);
    rises.power = smoothed(std::move(rises.power), pixels(kNeighbourhood, stitch));
    const Loudness loudness(rises.power);
    for (Field* field : {&rises.slant, &rises.steepness})
        change_each(*field, rises.power,
                    [&](float value, float about) { return std::clamp(value * loudness(about), -kMost, kMost); });
    return rises;
}

}  // namespace

Field grey(const Image& image) {
    Field result(image.rows(), image.columns());
    for_each_row(image.rows(), image.columns(), [&](int y) {
        std::transform(image.row(y), image.row(y) + image.columns(), result.row(y),
                       [](LinearRgb c) { return static_cast<float>((c.r + c.g + c.b) / 3); });
    });
    return result;
}

Field halved(const Field& field) {
    Field result(field.rows() / 2, field.columns() / 2);
    for (int y = 0; y < result.rows(); ++y)
        for (int x = 0; x < result.columns(); ++x)
            result(y, x) = 0.25F * (field(2 * y, 2 * x) + field(2 * y, 2 * x + 1) + field(2 * y + 1, 2 * x) +
                                    field(2 * y + 1, 2 * x + 1));
    return result;
}

Field turned_clockwise(const Field& field) {
    Field result(field.columns(), field.rows());
    for (int y = 0; y < result.rows(); ++y)
        for (int x = 0; x < result.columns(); ++x) result(y, x) = field(field.rows() - 1 - x, y);
    return result;
}

Field slant_of(const Field& light, double stitch) {
    return even_rises(detail_of(light, stitch), stitch).slant;
}

Relief relief_of(const Field& light, double stitch) {
    Field detail = detail_of(light, stitch);
    Rises rises = even_rises(detail, stitch);
    return {contrast_of(std::move(detail), stitch), std::move(rises.slant), std::move(rises.steepness)};
}

}  // namespace loopread
