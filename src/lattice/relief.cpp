#include "lattice/relief.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace loopread {
namespace {

constexpr double kSurroundings = 0.45;   // stitches each way, twice: slower changes are dye or light
constexpr double kNeighbourhood = 0.35;  // stitches each way, twice
constexpr float kFaint = 0.004F;         // of log light: what eight bits leave of relief
constexpr float kMost = 3;               // times the typical: edges of dye stand out no more than stitches do

/// Mean over 2 reach + 1 pixels of a row; the edge is held constant.
void smooth_row(const float* from, float* to, int length, int reach) {
    const auto held = [&](int i) { return from[std::clamp(i, 0, length - 1)]; };
    const float part = 1.0F / static_cast<float>(2 * reach + 1);
    float sum = 0;
    for (int i = -reach; i <= reach; ++i) sum += held(i);
    for (int i = 0; i < length; ++i) {
        to[i] = sum * part;
        sum += held(i + reach + 1) - held(i - reach);
    }
}

/// The same down all columns at once, row by row.
Field smooth_down(const Field& field, int reach) {
    Field result(field.rows(), field.columns());
    std::vector<float> sum(static_cast<std::size_t>(field.columns()), 0.0F);
    const auto held = [&](int y) { return field.row(std::clamp(y, 0, field.rows() - 1)); };
    const float part = 1.0F / static_cast<float>(2 * reach + 1);
    for (int y = -reach; y <= reach; ++y)
        for (std::size_t x = 0; x < sum.size(); ++x) sum[x] += held(y)[x];
    for (int y = 0; y < field.rows(); ++y) {
        float* to = result.row(y);
        const float* next = held(y + reach + 1);
        const float* last = held(y - reach);
        for (std::size_t x = 0; x < sum.size(); ++x) {
            to[x] = sum[x] * part;
            sum[x] += next[x] - last[x];
        }
    }
    return result;
}

/// Twice the mean over a square: nearly a bell.
Field smoothed(const Field& field, int reach) {
    Field across(field.rows(), field.columns());
    std::vector<float> once(static_cast<std::size_t>(field.columns()));
    for (int y = 0; y < field.rows(); ++y) {
        smooth_row(field.row(y), once.data(), field.columns(), reach);
        smooth_row(once.data(), across.row(y), field.columns(), reach);
    }
    return smooth_down(smooth_down(across, reach), reach);
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

/// What a value of a field counts for by the power about it: 1 / power up to the typical power and falling faster
/// beyond, so that edges of dye and noisy places are hardly heard.
Field loudness(const Field& power, float faint) {
    const float usual = std::max(typical(power), faint);
    Field result(power.rows(), power.columns());
    std::transform(power.begin(), power.end(), result.begin(), [&](float p) {
        const float held = std::max(0.0F, p) + faint;
        return 2 / (held + held * held / usual);
    });
    return result;
}

Field log_light(const Field& light) {
    float mean = 0;
    for (const float value : light) mean += value / static_cast<float>(light.size());
    const float dark = 0.02F * mean + 1e-6F;
    Field result(light.rows(), light.columns());
    std::transform(light.begin(), light.end(), result.begin(),
                   [&](float value) { return std::log(std::max(0.0F, value) + dark); });
    return result;
}

int pixels(double stitches, double stitch) {
    return std::max(1, static_cast<int>(std::lround(stitches * stitch)));
}

/// Log light less its surroundings: what changes evenly over them is gone.
Field detail_of(const Field& light, double stitch) {
    const Field whole = log_light(light);
    Field detail = smoothed(whole, pixels(kSurroundings, stitch));
    std::transform(whole.begin(), whole.end(), detail.begin(), detail.begin(), std::minus<>());
    return detail;
}

Field contrast_of(Field detail, double stitch) {
    const int reach = pixels(kSurroundings, stitch);
    Field power(detail.rows(), detail.columns());
    std::transform(detail.begin(), detail.end(), power.begin(), [](float value) { return value * value; });
    power = smoothed(power, reach);
    const float usual = std::sqrt(std::max(typical(power), kFaint * kFaint));
    const Field loud = loudness(power, kFaint * kFaint);
    std::transform(detail.begin(), detail.end(), loud.begin(), detail.begin(),
                   [&](float value, float weight) { return std::clamp(value * weight * usual, -kMost, kMost); });
    return detail;
}

}  // namespace

Field grey(const Image& image) {
    Field result(image.rows(), image.columns());
    std::transform(image.begin(), image.end(), result.begin(),
                   [](LinearRgb c) { return static_cast<float>((c.r + c.g + c.b) / 3); });
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

Relief relief_of(const Field& light, double stitch) {
    const int rows = light.rows(), columns = light.columns();
    const Field detail = detail_of(light, stitch);
    Relief relief{contrast_of(detail, stitch), Field(rows, columns), Field(rows, columns)};
    Field power(rows, columns);
    for (int y = 0; y < rows; ++y) {
        const float* here = detail.row(y);
        const float* above = detail.row(std::max(0, y - 1));
        const float* below = detail.row(std::min(rows - 1, y + 1));
        for (int x = 0; x < columns; ++x) {
            const float gx = here[std::min(columns - 1, x + 1)] - here[std::max(0, x - 1)];
            const float gy = below[x] - above[x];
            power(y, x) = gx * gx + gy * gy;
            relief.slant(y, x) = 2 * gx * gy;
            relief.steepness(y, x) = gx * gx - gy * gy;
        }
    }
    const Field loud = loudness(smoothed(power, pixels(kNeighbourhood, stitch)), kFaint * kFaint);
    for (Field* field : {&relief.slant, &relief.steepness})
        std::transform(field->begin(), field->end(), loud.begin(), field->begin(),
                       [](float value, float weight) { return std::clamp(value * weight, -kMost, kMost); });
    return relief;
}

}  // namespace loopread
