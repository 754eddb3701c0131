#include "features.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <functional>
#include <span>
#include <vector>

#include "loopread/colour/difference.h"

namespace loopread {
namespace {

constexpr double kOneRunDifference = 5;   // CIEDE2000
constexpr std::size_t kFoldedRounds = 4;  // chosen: enough to quieten speckle, few enough not to blur a bent column

using Colour = Eigen::Vector3d;

Colour vector_of(Lab colour) {
    return {colour.l, colour.a, colour.b};
}

/// A run of colours close to each other.
struct Run {
    LinearRgb sum;
    std::size_t summed = 0;  ///< colours in the sum
    std::size_t length = 0;  ///< those and the slivers that were given to it

    Lab mean() const { return lab_from_linear(sum * (1 / static_cast<double>(summed))); }
    void take(const Run& other) {
        sum += other.sum;
        summed += other.summed;
        length += other.length;
    }
};

void add_or_join(std::vector<Run>& runs, const Run& next, double difference) {
    if (!runs.empty() && delta_e_2000(runs.back().mean(), next.mean()) <= difference)
        runs.back().take(next);
    else
        runs.push_back(next);
}

std::vector<Run> runs_of(std::span<const LinearRgb> colours, double difference) {
    std::vector<Run> runs;
    for (const LinearRgb& colour : colours) add_or_join(runs, {.sum = colour, .summed = 1, .length = 1}, difference);
    return runs;
}

/// Runs under the shortest length go, without their colour, to the run before them (at the start: after them); runs
/// that a sliver had cut in two are one again.
std::vector<Run> without_slivers(const std::vector<Run>& runs, std::size_t shortest, double difference) {
    std::vector<Run> kept;
    std::size_t at_start = 0;
    for (const Run& run : runs) {
        if (run.length >= shortest)
            add_or_join(kept, run, difference);
        else
            (kept.empty() ? at_start : kept.back().length) += run.length;
    }
    if (!kept.empty()) kept.front().length += at_start;
    return kept;
}

/// The length of which half the whole lies in runs as long or longer.
std::size_t usual_length(std::vector<std::size_t> lengths) {
    std::size_t whole = 0;
    for (const std::size_t length : lengths) whole += length;
    std::sort(lengths.begin(), lengths.end(), std::greater<>());
    std::size_t longer = 0;
    for (const std::size_t length : lengths) {
        longer += length;
        if (2 * longer >= whole) return length;
    }
    return 0;
}

/// The direction in which colours differ most.
Colour main_axis(const std::vector<Colour>& offsets) {
    Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
    for (const Colour& offset : offsets) scatter += offset * offset.transpose();
    return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(scatter).eigenvectors().col(2);
}

/// Lengths of the runs of values over 0, and of those that are not, round and round.
struct SignRuns {
    std::vector<std::size_t> over, under;
};

void add_circular_runs(SignRuns& runs, std::span<const double> values) {
    const std::size_t n = values.size();
    std::size_t start = 1;
    while (start < n && (values[start] > 0) == (values[start - 1] > 0)) ++start;
    if (start == n) return;  // all of one sign: it has no ends
    std::size_t length = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const bool over = values[(start + i) % n] > 0;
        ++length;
        if (i + 1 < n && (values[(start + i + 1) % n] > 0) == over) continue;
        (over ? runs.over : runs.under).push_back(length);
        length = 0;
    }
}

std::size_t row_of(const PlainRounds& rounds, std::size_t stitch) {
    return stitch / static_cast<std::size_t>(rounds.stitches);
}

std::size_t stretch_of_row(const PlainRounds& rounds, std::size_t row) {
    const auto after = std::upper_bound(rounds.stretch_starts.begin(), rounds.stretch_starts.end(),
                                        row * static_cast<std::size_t>(rounds.stitches));
    return static_cast<std::size_t>(after - rounds.stretch_starts.begin()) - 1;
}

/// What its mean leaves of each stitch of a round, in the order of its columns.
std::vector<Colour> columns_of(const PlainRounds& rounds, std::size_t row) {
    const auto n = static_cast<std::size_t>(rounds.stitches);
    std::vector<Colour> columns(n);
    Colour mean = Colour::Zero();
    for (std::size_t k = 0; k < n; ++k) {
        columns[k] = vector_of(rounds.stitch[row * n + k]);
        mean += columns[k] / rounds.stitches;
    }
    for (Colour& column : columns) column -= mean;
    const std::size_t first = row_of(rounds, rounds.stretch_starts[stretch_of_row(rounds, row)]);
    if (rounds.worked == Worked::back_and_forth && (row - first) % 2 == 1) std::reverse(columns.begin(), columns.end());
    return columns;
}

/// Rounds laid over each other, `folded` at a time, each moved back along the lean.
std::vector<std::vector<Colour>> folded_rounds(const PlainRounds& rounds, int lean, std::size_t folded) {
    const int n = rounds.stitches;
    std::vector<std::vector<Colour>> patterns;
    for (std::size_t row = 0; row + folded <= rounds.rounds(); row += folded) {
        std::vector<Colour> pattern(static_cast<std::size_t>(n), Colour::Zero());
        for (std::size_t i = 0; i < folded; ++i) {
            const std::vector<Colour> columns = columns_of(rounds, row + i);
            const int moved = lean * static_cast<int>(i);
            for (int c = 0; c < n; ++c)
                pattern[static_cast<std::size_t>(c)] += columns[static_cast<std::size_t>(((c + moved) % n + n) % n)];
        }
        patterns.push_back(std::move(pattern));
    }
    return patterns;
}

SignRuns runs_along(const std::vector<std::vector<Colour>>& patterns) {
    std::vector<Colour> all;
    for (const std::vector<Colour>& pattern : patterns) all.insert(all.end(), pattern.begin(), pattern.end());
    SignRuns runs;
    if (all.empty()) return runs;
    const Colour axis = main_axis(all);
    std::vector<double> values;
    for (const std::vector<Colour>& pattern : patterns) {
        values.clear();
        for (const Colour& colour : pattern) values.push_back(axis.dot(colour));
        add_circular_runs(runs, values);
    }
    return runs;
}

bool has_both(const SignRuns& runs) {
    return !runs.over.empty() && !runs.under.empty();
}

double mean_length(const std::vector<std::size_t>& lengths) {
    double whole = 0;
    for (const std::size_t length : lengths) whole += static_cast<double>(length);
    return whole / static_cast<double>(lengths.size());
}

std::vector<LinearRgb> round_means(const PlainRounds& rounds) {
    std::vector<LinearRgb> means;
    const auto n = static_cast<std::size_t>(rounds.stitches);
    for (std::size_t r = 0; r < rounds.rounds(); ++r) {
        LinearRgb sum;
        for (std::size_t k = 0; k < n; ++k) sum += linear_from_lab(rounds.stitch[r * n + k]);
        means.push_back(sum * (1.0 / rounds.stitches));
    }
    return means;
}

}  // namespace

std::size_t sharp_borders(const PlainRounds& rounds, double least_difference) {
    constexpr std::size_t kBorder =
        4;  // rounds; chosen: a painted edge that wavers by a row or two still counts as sharp
    std::vector<Lab> means;
    for (const LinearRgb& mean : round_means(rounds)) means.push_back(lab_from_linear(mean));
    std::size_t borders = 0;
    for (std::size_t r = 0; r + kBorder < means.size(); ++r)
        if (delta_e_76(means[r], means[r + kBorder]) > least_difference) {
            ++borders;
            r += kBorder;
        }
    return borders;
}

std::optional<double> stripe_height(const PlainRounds& rounds, double colour_range) {
    const std::vector<LinearRgb> means = round_means(rounds);
    // Two colours in turn lie twice the range apart: faint stripes have to be told apart too.
    const double difference = std::min(kOneRunDifference, colour_range);
    const std::vector<Run> runs = runs_of(means, difference);
    std::vector<std::size_t> lengths;
    for (const Run& run : runs) lengths.push_back(run.length);
    const std::vector<Run> stripes = without_slivers(runs, (usual_length(lengths) + 1) / 2, difference);
    if (stripes.size() < 2) return std::nullopt;
    return static_cast<double>(means.size()) / static_cast<double>(stripes.size());
}

std::optional<double> pool_width(const PlainRounds& rounds, int lean) {
    const SignRuns runs = runs_along(folded_rounds(rounds, lean, std::min(kFoldedRounds, rounds.rounds())));
    if (!has_both(runs)) return std::nullopt;
    // Speckle cuts slivers off pools, so their usual length says more than the mean.
    return static_cast<double>(std::min(usual_length(runs.over), usual_length(runs.under)));
}

std::optional<double> dash_length(const PlainRounds& rounds) {
    const SignRuns runs = runs_along(folded_rounds(rounds, 0, 1));
    if (!has_both(runs)) return std::nullopt;
    return std::min(mean_length(runs.over), mean_length(runs.under));
}

LongRuns long_runs(const ColourRun& run, double window_mm, double yarn_per_round_mm) {
    std::vector<LinearRgb> windows;
    for (double from_mm = 0; from_mm + window_mm <= run.length_mm() + 1e-9; from_mm += window_mm)
        windows.push_back(run.mean(from_mm, from_mm + window_mm));
    LongRuns long_ones;
    double long_mm = 0;
    for (const Run& stretch : without_slivers(runs_of(windows, kOneRunDifference), 2, kOneRunDifference)) {
        const double length_mm = static_cast<double>(stretch.length) * window_mm;
        if (length_mm + window_mm < yarn_per_round_mm) continue;
        long_mm += length_mm;
        ++long_ones.count;
    }
    if (long_ones.count == 0) return {};
    long_ones.share = long_mm / run.length_mm();
    long_ones.mean_mm = long_mm / static_cast<double>(long_ones.count);
    return long_ones;
}

}  // namespace loopread
