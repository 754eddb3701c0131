#include "loopread/lattice/shade.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kBinsAcross = 12, kBinsAlong = 10;  // of the mean stitch
constexpr int kRegionCells = 8;                   // chosen: enough to average dye out, few enough to follow the light
constexpr double kMostShade = 1.0;                // in log light: what differs more is an edge of dye, not relief
constexpr double kDarkest = 1e-3;

using MeanStitch = std::array<double, static_cast<std::size_t>(kBinsAcross* kBinsAlong)>;

double log_light(LinearRgb c) {
    return std::log(std::max(kDarkest, 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b));
}

/// A place in cells from the top left.
struct CellPlace {
    double across = 0, along = 0;
};

class Folding {
public:
    Folding(const Image& photo, CellCount cells)
        : photo_(photo),
          cells_(cells),
          regions_((cells.rows + kRegionCells - 1) / kRegionCells, (cells.stitches + kRegionCells - 1) / kRegionCells) {
        find_means();
        fold();
    }

    Image flattened() const {
        Image out(photo_.rows(), photo_.columns());
        for (int y = 0; y < out.rows(); ++y)
            for (int x = 0; x < out.columns(); ++x) out(y, x) = photo_(y, x) * std::exp(-shade_at(place(y, x)));
        return out;
    }

private:
    CellPlace place(int y, int x) const {
        return {(x + 0.5) / photo_.columns() * cells_.stitches, (y + 0.5) / photo_.rows() * cells_.rows};
    }
    static int within(double value, int count) { return std::clamp(static_cast<int>(value), 0, count - 1); }

    /// Mean log light of every cell.
    void find_means() {
        means_ = Plane(cells_.rows, cells_.stitches, 0);
        Plane weights(cells_.rows, cells_.stitches, 0);
        for (int y = 0; y < photo_.rows(); ++y)
            for (int x = 0; x < photo_.columns(); ++x) {
                const CellPlace at = place(y, x);
                const int row = within(at.along, cells_.rows), column = within(at.across, cells_.stitches);
                means_(row, column) += log_light(photo_(y, x));
                weights(row, column) += 1;
            }
        for (int row = 0; row < cells_.rows; ++row)
            for (int column = 0; column < cells_.stitches; ++column)
                if (weights(row, column) > 0) means_(row, column) /= weights(row, column);
    }

    /// The cell means passing over into each other: what lies under the relief.
    double under(CellPlace at) const {
        const double x = std::clamp(at.across - 0.5, 0.0, cells_.stitches - 1.0);
        const double y = std::clamp(at.along - 0.5, 0.0, cells_.rows - 1.0);
        const int left = static_cast<int>(x), top = static_cast<int>(y);
        const int right = std::min(left + 1, cells_.stitches - 1), bottom = std::min(top + 1, cells_.rows - 1);
        const double u = x - left, v = y - top;
        return (means_(top, left) * (1 - u) + means_(top, right) * u) * (1 - v) +
               (means_(bottom, left) * (1 - u) + means_(bottom, right) * u) * v;
    }

    static std::size_t bin(CellPlace at) {
        const double across = at.across - std::floor(at.across), along = at.along - std::floor(at.along);
        return static_cast<std::size_t>(within(along * kBinsAlong, kBinsAlong)) * kBinsAcross +
               static_cast<std::size_t>(within(across * kBinsAcross, kBinsAcross));
    }

    void fold() {
        Grid<MeanStitch> weights(regions_.rows(), regions_.columns());
        for (int y = 0; y < photo_.rows(); ++y)
            for (int x = 0; x < photo_.columns(); ++x) {
                const CellPlace at = place(y, x);
                const double off = log_light(photo_(y, x)) - under(at);
                if (std::abs(off) > kMostShade) continue;
                const int row = within(at.along / kRegionCells, regions_.rows());
                const int column = within(at.across / kRegionCells, regions_.columns());
                regions_(row, column)[bin(at)] += off;
                weights(row, column)[bin(at)] += 1;
            }
        for (int row = 0; row < regions_.rows(); ++row)
            for (int column = 0; column < regions_.columns(); ++column) {
                MeanStitch& mean = regions_(row, column);
                double sum = 0;
                for (std::size_t i = 0; i < mean.size(); ++i) {
                    const double weight = weights(row, column)[i];
                    mean[i] = weight > 0 ? mean[i] / weight : 0;
                    sum += mean[i];
                }
                for (double& shade : mean) shade -= sum / static_cast<double>(mean.size());  // light stays what it was
            }
    }

    /// Between the middles of bins, round and round within the stitch.
    static double in_stitch(const MeanStitch& mean, CellPlace at) {
        const double x = (at.across - std::floor(at.across)) * kBinsAcross - 0.5;
        const double y = (at.along - std::floor(at.along)) * kBinsAlong - 0.5;
        const int left = static_cast<int>(std::floor(x)), top = static_cast<int>(std::floor(y));
        const auto value = [&](int row, int column) {
            return mean[static_cast<std::size_t>((row + kBinsAlong) % kBinsAlong) * kBinsAcross +
                        static_cast<std::size_t>((column + kBinsAcross) % kBinsAcross)];
        };
        const double u = x - left, v = y - top;
        return (value(top, left) * (1 - u) + value(top, left + 1) * u) * (1 - v) +
               (value(top + 1, left) * (1 - u) + value(top + 1, left + 1) * u) * v;
    }

    /// Between the middles of regions.
    double shade_at(CellPlace at) const {
        const double x = std::clamp(at.across / kRegionCells - 0.5, 0.0, regions_.columns() - 1.0);
        const double y = std::clamp(at.along / kRegionCells - 0.5, 0.0, regions_.rows() - 1.0);
        const int left = static_cast<int>(x), top = static_cast<int>(y);
        const int right = std::min(left + 1, regions_.columns() - 1), bottom = std::min(top + 1, regions_.rows() - 1);
        const double u = x - left, v = y - top;
        return (in_stitch(regions_(top, left), at) * (1 - u) + in_stitch(regions_(top, right), at) * u) * (1 - v) +
               (in_stitch(regions_(bottom, left), at) * (1 - u) + in_stitch(regions_(bottom, right), at) * u) * v;
    }

    const Image& photo_;
    CellCount cells_;
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
