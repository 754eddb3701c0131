#include "loopread/lattice/shade.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "image/shared_rows.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kBinsAcross = 12, kBinsAlong = 10;  // of the mean stitch
constexpr int kRegionCells = 8;                   // chosen: enough to average dye out, few enough to follow the light
constexpr double kMostShade = 1.0;                // in log light: what differs more is an edge of dye, not relief
constexpr double kDarkest = 1e-3;

using MeanStitch = std::array<double, static_cast<std::size_t>(kBinsAcross* kBinsAlong)>;

double log_lightness(LinearRgb c) {
    return std::log(std::max(kDarkest, 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b));
}

/// Between which two of a row of values a place lies.
struct Blend {
    int first = 0, second = 0;
    double share = 0;  ///< of the second

    double operator()(double one, double other) const { return one * (1 - share) + other * share; }
};

/// Between the middles of `count` values that lie in a row, one wide each; held beyond the outermost.
Blend held(double place, int count) {
    const double within = std::clamp(place - 0.5, 0.0, count - 1.0);
    const int first = static_cast<int>(within);
    return {first, std::min(first + 1, count - 1), within - first};
}

/// Between the middles of the bins of a stitch, round and round.
Blend round_stitch(double place, int bins) {
    const double within = (place - std::floor(place)) * bins - 0.5;
    const int first = static_cast<int>(std::floor(within));
    return {(first + bins) % bins, (first + 1) % bins, within - first};
}

/// What lies at a row or a column of pixels.
struct Line {
    int cell = 0, bin = 0, region = 0;
    Blend cells, bins, regions;  ///< for what passes over from middle to middle
};

int region_count(int cells) {
    return (cells + kRegionCells - 1) / kRegionCells;
}

std::vector<Line> lines_of(int pixels, int cells, int bins) {
    const auto within = [](double value, int count) { return std::clamp(static_cast<int>(value), 0, count - 1); };
    std::vector<Line> lines;
    for (int i = 0; i < pixels; ++i) {
        const double place = (i + 0.5) / pixels * cells;
        lines.push_back({within(place, cells), within((place - std::floor(place)) * bins, bins),
                         within(place / kRegionCells, region_count(cells)), held(place, cells),
                         round_stitch(place, bins), held(place / kRegionCells, region_count(cells))});
    }
    return lines;
}

class Folding {
public:
    Folding(const Image& photo, CellCount cells)
        : photo_(photo),
          down_(lines_of(photo.rows(), cells.rows, kBinsAlong)),
          across_(lines_of(photo.columns(), cells.stitches, kBinsAcross)),
          light_(photo.rows(), photo.columns()),
          means_(cells.rows, cells.stitches),
          regions_(region_count(cells.rows), region_count(cells.stitches)) {
        for_each_row(photo.rows(), photo.columns(), [&](int y) {
            std::transform(photo.row(y), photo.row(y) + photo.columns(), light_.row(y), log_lightness);
        });
        find_means();
        fold();
    }

    Image flattened() const {
        Image out(photo_.rows(), photo_.columns());
        for_each_row(out.rows(), out.columns(), [&](int y) {
            const std::vector<ShadeAcross> shades = shades_in(down_[static_cast<std::size_t>(y)]);
            for (int x = 0; x < out.columns(); ++x)
                out(y, x) = photo_(y, x) * std::exp(-shade_at(shades, across_[static_cast<std::size_t>(x)]));
        });
        return out;
    }

private:
    /// Mean log light of every cell.
    void find_means() {
        Plane weights(means_.rows(), means_.columns());
        for (int y = 0; y < photo_.rows(); ++y)
            for (int x = 0; x < photo_.columns(); ++x) {
                const int row = down_[static_cast<std::size_t>(y)].cell;
                const int column = across_[static_cast<std::size_t>(x)].cell;
                means_(row, column) += light_(y, x);
                weights(row, column) += 1;
            }
        std::transform(means_.begin(), means_.end(), weights.begin(), means_.begin(),
                       [](double sum, double weight) { return weight > 0 ? sum / weight : sum; });
    }

    /// The cell means passing over into each other: what lies under the relief.
    double under(const Blend& rows, const Blend& columns) const {
        return rows(columns(means_(rows.first, columns.first), means_(rows.first, columns.second)),
                    columns(means_(rows.second, columns.first), means_(rows.second, columns.second)));
    }

    void fold() {
        Grid<MeanStitch> weights(regions_.rows(), regions_.columns());
        for (int y = 0; y < photo_.rows(); ++y) {
            const Line& row = down_[static_cast<std::size_t>(y)];
            for (int x = 0; x < photo_.columns(); ++x) {
                const Line& column = across_[static_cast<std::size_t>(x)];
                const double off = light_(y, x) - under(row.cells, column.cells);
                if (std::abs(off) > kMostShade) continue;
                const std::size_t bin =
                    static_cast<std::size_t>(row.bin) * kBinsAcross + static_cast<std::size_t>(column.bin);
                regions_(row.region, column.region)[bin] += off;
                weights(row.region, column.region)[bin] += 1;
            }
        }
        for (int row = 0; row < regions_.rows(); ++row)
            for (int column = 0; column < regions_.columns(); ++column)
                settle(regions_(row, column), weights(row, column));
    }

    static void settle(MeanStitch& mean, const MeanStitch& weights) {
        double sum = 0;
        for (std::size_t i = 0; i < mean.size(); ++i) {
            mean[i] = weights[i] > 0 ? mean[i] / weights[i] : 0;
            sum += mean[i];
        }
        for (double& shade : mean) shade -= sum / static_cast<double>(mean.size());  // light stays what it was
    }

    using ShadeAcross = std::array<double, kBinsAcross>;

    /// The shade in a row of pixels, for each column of regions.
    std::vector<ShadeAcross> shades_in(const Line& row) const {
        std::vector<ShadeAcross> shades(static_cast<std::size_t>(regions_.columns()));
        const auto in_stitch = [&](const MeanStitch& mean, std::size_t bin) {
            return row.bins(mean[static_cast<std::size_t>(row.bins.first) * kBinsAcross + bin],
                            mean[static_cast<std::size_t>(row.bins.second) * kBinsAcross + bin]);
        };
        for (int column = 0; column < regions_.columns(); ++column)
            for (std::size_t bin = 0; bin < kBinsAcross; ++bin)
                shades[static_cast<std::size_t>(column)][bin] =
                    row.regions(in_stitch(regions_(row.regions.first, column), bin),
                                in_stitch(regions_(row.regions.second, column), bin));
        return shades;
    }

    static double shade_at(const std::vector<ShadeAcross>& shades, const Line& column) {
        const auto in_stitch = [&](int region) {
            const ShadeAcross& shade = shades[static_cast<std::size_t>(region)];
            return column.bins(shade[static_cast<std::size_t>(column.bins.first)],
                               shade[static_cast<std::size_t>(column.bins.second)]);
        };
        return column.regions(in_stitch(column.regions.first), in_stitch(column.regions.second));
    }

    const Image& photo_;
    std::vector<Line> down_, across_;
    Plane light_;  ///< its logarithm
    Plane means_;
    Grid<MeanStitch> regions_;
};

}  // namespace

Image without_shade(const Image& photo, CellCount cells) {
    require(cells.stitches > 0 && cells.rows > 0, "there are stitches and rows");
    require(photo.columns() >= 3 * cells.stitches && photo.rows() >= 3 * cells.rows, "a stitch has 3 pixels each way");
    return Folding(photo, cells).flattened();
}

}  // namespace loopread
