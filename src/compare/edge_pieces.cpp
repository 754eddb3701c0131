#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "compare/edge_samples.h"
#include "compare/strength.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/compare/edges.h"

namespace loopread {
namespace {

constexpr std::array<double, 5> kReachSteps{1, 1.4, 2, 2.8, 4};  // of the least reach, tried one after another
constexpr double kPlateau = 0.6;        // of the reach: from there on light counts as ground or motif
constexpr double kWidestOfReach = 0.7;  // so that of a Gaussian edge under 2 % lies on the plateaus' near ends
constexpr double kUneven = 0.12, kUnevenKnitted = 0.2;  // of the contrast: root mean square about the profile; chosen
constexpr double kFarOff = 0.5;    // of the reach: an edge so far from where it was looked for is another one
constexpr double kMostTurn = 0.5;  // tangent: an edge that runs so differently is another one
constexpr std::size_t kFewestSamples = 60;
constexpr int kRounds = 5;  // of fitting; chosen: the last one moves it by under a hundredth of a pixel

/// What is fitted: place + turn * along + bend * along^2, and its softness.
struct EdgeCurve {
    double place = 0, turn = 0, bend = 0;
    double sigma = 1;

    double at(double along) const { return place + along * (turn + bend * along); }
    /// Distance from the curve, right near it.
    double distance(const EdgeSample& s) const {
        const double slope = turn + 2 * bend * s.along;
        return (s.across - at(s.along)) / std::sqrt(1 + slope * slope);
    }
};

/// Light on both sides and the way between.
struct EdgeLevels {
    LinearRgb ground, motif;

    LinearRgb way() const { return motif - ground; }
    double share(LinearRgb light) const {
        const LinearRgb w = way(), from = light - ground;
        return (from.r * w.r + from.g * w.g + from.b * w.b) / std::max(1e-12, w.r * w.r + w.g * w.g + w.b * w.b);
    }
};

/// How far a piece reaches, mm.
struct EdgeWindow {
    double reach = 0, half_length = 0;
};

std::optional<EdgeLevels> levels_of(const std::vector<EdgeSample>& samples, const EdgeCurve& curve, double reach) {
    EdgeLevels levels;
    double ground = 0, motif = 0;
    for (const EdgeSample& s : samples) {
        const double d = curve.distance(s);
        if (d < -kPlateau * reach) {
            levels.ground += s.light;
            ++ground;
        } else if (d > kPlateau * reach) {
            levels.motif += s.light;
            ++motif;
        }
    }
    constexpr double kFewest = 12;
    if (ground < kFewest || motif < kFewest) return std::nullopt;
    levels.ground = levels.ground * (1 / ground);
    levels.motif = levels.motif * (1 / motif);
    return levels;
}

double normal_share(double x) {
    return 0.5 * std::erfc(-x / std::sqrt(2.0));
}
double normal_density(double x) {
    return 0.3989422804014327 * std::exp(-0.5 * x * x);
}

/// One Gauss-Newton step towards the Gaussian edge that fits the samples best.
void improve(EdgeCurve& curve, const std::vector<EdgeSample>& samples, const EdgeLevels& levels, double reach) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    for (const EdgeSample& s : samples) {
        const double z = (s.across - curve.at(s.along)) / curve.sigma;
        if (std::abs(z) > 5) continue;
        const double density = normal_density(z) / curve.sigma;
        const Eigen::Vector4d slope{-density, -density * s.along, -density * s.along * s.along, -density * z};
        normal += slope * slope.transpose();
        right += slope * (levels.share(s.light) - normal_share(z));
    }
    // A little stiffness, so that what the samples do not hold fast stays as it is.
    normal.diagonal() += Eigen::Vector4d(1e-6, 1e-6, 1e-4, 1e-6) * normal.trace();
    const Eigen::Vector4d step = normal.ldlt().solve(right);
    const double most = reach / 4;
    curve.place += std::clamp(step[0], -most, most);
    curve.turn += std::clamp(step[1], -0.2, 0.2);
    curve.bend += std::clamp(step[2], -0.02, 0.02);
    curve.sigma = std::clamp(curve.sigma + std::clamp(step[3], -curve.sigma / 2, curve.sigma), reach / 100, reach);
}

/// Pool adjacent violators: the rising curve nearest to the means.
std::vector<double> rising(const std::vector<double>& sums, const std::vector<double>& weights) {
    struct Block {
        double sum, weight;
        std::size_t bins;
        double mean() const { return sum / weight; }
    };
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < sums.size(); ++i) {
        blocks.push_back({sums[i], weights[i], 1});
        while (blocks.size() > 1) {
            Block& last = blocks.back();
            Block& before = blocks[blocks.size() - 2];
            if (last.weight > 0 && before.weight > 0 && before.mean() <= last.mean()) break;
            before = {before.sum + last.sum, before.weight + last.weight, before.bins + last.bins};
            blocks.pop_back();
        }
    }
    std::vector<double> out;
    for (const Block& block : blocks) out.insert(out.end(), block.bins, block.weight > 0 ? block.mean() : 0);
    return out;
}

struct Sorted {
    EdgeProfile profile;
    double uneven = 0;  ///< root mean square of the samples about the profile
    double step_mm = 0;
};

Sorted sorted(const std::vector<EdgeSample>& samples, const EdgeCurve& curve, const EdgeLevels& levels, double reach,
              double step) {
    const auto bins = static_cast<std::size_t>(std::ceil(2 * reach / step));
    std::vector<double> sums(bins), weights(bins);
    Sorted out;
    out.step_mm = 2 * reach / static_cast<double>(bins);
    const auto bin_of = [&](double d) {
        return std::clamp(static_cast<int>((d + reach) / out.step_mm), 0, static_cast<int>(bins) - 1);
    };
    for (const EdgeSample& s : samples) {
        const double d = curve.distance(s);
        if (std::abs(d) > reach) continue;
        const auto bin = static_cast<std::size_t>(bin_of(d));
        sums[bin] += levels.share(s.light);
        weights[bin] += 1;
    }
    out.profile = {reach, rising(sums, weights)};
    double squares = 0, count = 0;
    for (const EdgeSample& s : samples) {
        const double d = curve.distance(s);
        if (std::abs(d) > reach) continue;
        const double off = levels.share(s.light) - out.profile.values[static_cast<std::size_t>(bin_of(d))];
        squares += off * off;
        ++count;
    }
    out.uneven = std::sqrt(squares / std::max(1.0, count));
    return out;
}

double length_of(LinearRgb c) {
    return std::sqrt(c.r * c.r + c.g * c.g + c.b * c.b);
}

/// Ground and motif go on alike along the whole piece: not so at a corner, nor beside a third colour.
bool even_along(const std::vector<EdgeSample>& samples, const EdgeCurve& curve, const EdgeLevels& levels,
                const EdgeWindow& window) {
    constexpr int kParts = 3;
    constexpr double kOff = 0.15;  // of the contrast; chosen
    std::array<std::array<LinearRgb, 2>, kParts> sums{};
    std::array<std::array<double, 2>, kParts> counts{};
    for (const EdgeSample& s : samples) {
        const double d = curve.distance(s);
        if (std::abs(d) < kPlateau * window.reach || std::abs(d) > window.reach) continue;
        const auto part = static_cast<std::size_t>(
            std::clamp(static_cast<int>((s.along / window.half_length + 1) / 2 * kParts), 0, kParts - 1));
        const std::size_t side = d > 0 ? 1 : 0;
        sums[part][side] += s.light - (d > 0 ? levels.motif : levels.ground);
        counts[part][side] += 1;
    }
    for (std::size_t part = 0; part < kParts; ++part)
        for (std::size_t side = 0; side < 2; ++side)
            if (!(counts[part][side] > 0 &&
                  length_of(sums[part][side]) / counts[part][side] < kOff * length_of(levels.way())))
                return false;
    return true;
}

/// Light off the way from ground to motif, of the way's length: next to the straight way and next to that of dye that
/// sets in (Kubelka-Munk), whichever is nearer.
double off_the_way(const EdgeLevels& levels, const DyeInLight& dye, LinearRgb light) {
    const double share = std::clamp(levels.share(light), 0.0, 1.0);
    const LinearRgb straight = levels.ground + levels.way() * share;
    return std::min(length_of(light - straight), length_of(light - dye.light(dye.dye_share(share)))) /
           length_of(levels.way());
}

/// From ground to motif there is nothing of a third colour.
bool on_the_way(const std::vector<EdgeSample>& samples, const EdgeCurve& curve, const EdgeLevels& levels,
                double reach) {
    constexpr int kSteps = 8;      // across the edge
    constexpr double kOff = 0.15;  // of the contrast; chosen, as along the edge
    std::array<LinearRgb, kSteps> sums{};
    std::array<double, kSteps> counts{};
    for (const EdgeSample& s : samples) {
        const double d = curve.distance(s);
        if (std::abs(d) >= reach) continue;
        const auto step = static_cast<std::size_t>((d / reach + 1) / 2 * kSteps);
        sums[step] += s.light;
        counts[step] += 1;
    }
    const DyeInLight dye(levels.ground, levels.motif);
    for (std::size_t step = 0; step < kSteps; ++step)
        if (counts[step] > 0 && off_the_way(levels, dye, sums[step] * (1 / counts[step])) > kOff) return false;
    return true;
}

/// Texture sets the scale at which edges are looked at.
double unit_mm(const DyedPicture& picture) {
    return picture.knitted() ? picture.stitch_mm() : std::max(1.0, 4 * picture.light_pixel_mm);
}

/// Moves the place onto the curve and turns it with it.
EdgePlace on_curve(const EdgePlace& place, const EdgeCurve& curve) {
    EdgePlace out;
    out.x_mm = place.x_mm + place.normal_x * curve.place;
    out.y_mm = place.y_mm + place.normal_y * curve.place;
    const double length = std::sqrt(1 + curve.turn * curve.turn);
    const double tangent_x = -place.normal_y, tangent_y = place.normal_x;
    out.normal_x = (place.normal_x - curve.turn * tangent_x) / length;
    out.normal_y = (place.normal_y - curve.turn * tangent_y) / length;
    return out;
}

struct Fitted {
    EdgeCurve curve;
    EdgeLevels levels;
};

std::optional<Fitted> fitted(const std::vector<EdgeSample>& samples, double reach) {
    Fitted fit;
    fit.curve.sigma = reach / 5;
    for (int round = 0; round < kRounds; ++round) {
        const auto levels = levels_of(samples, fit.curve, reach);
        if (!levels) return std::nullopt;
        fit.levels = *levels;
        improve(fit.curve, samples, fit.levels, reach);
        if (std::abs(fit.curve.place) > kFarOff * reach || std::abs(fit.curve.turn) > kMostTurn) return std::nullopt;
    }
    return fit;
}

double spread_of(const DyedPicture& picture, const EdgePlace& place, double step) {
    const double x = place.normal_x * picture.pixel_width_mm, y = place.normal_y * picture.pixel_height_mm;
    // chosen: what is left of the loops in drawn knitting of 46 and of 92 stitches, whose yarn takes one paint over a
    // third of a stitch; a yarn's own width along an edge is of that order.
    const double loops = 0.1 * picture.stitch_mm();
    return std::sqrt(picture.sampling_variance * (x * x + y * y) + step * step / 12 + loops * loops);
}

double legs_spread_of(const DyedPicture& picture, const EdgePlace& place) {
    // A leg that took the mean over its 0.9 of a row and shows it over as much: two boxes. To the side its lean, and
    // what the arcs beside it lend its ends; measured on drawn knitting with one colour a leg and sharp paint.
    const double side = 0.2 * picture.stitch_mm(), along = 0.9 * std::sqrt(2.0 / 12) * picture.row_mm();
    return std::hypot(place.normal_x * side, place.normal_y * along);
}

std::optional<EdgePiece> piece_within(const DyedPicture& picture, EdgePlace place, double reach,
                                      const EdgeOptions& options) {
    const double half_length = options.half_length_mm > 0 ? options.half_length_mm : piece_half_length_mm(picture);
    const double pixel = std::max(picture.pixel_width_mm, picture.pixel_height_mm);
    std::vector<EdgeSample> samples = edge_samples(picture, place, 1.3 * reach, half_length);
    if (samples.size() < kFewestSamples) return std::nullopt;
    std::optional<Fitted> fit = fitted(samples, reach);
    if (!fit) return std::nullopt;
    place = on_curve(place, fit->curve);
    samples = edge_samples(picture, place, 1.2 * reach, half_length);
    fit = fitted(samples, reach);
    if (!fit || samples.size() < kFewestSamples) return std::nullopt;
    const double step = std::max(pixel / 4, reach / 80);
    const Sorted edge = sorted(samples, fit->curve, fit->levels, reach, step);
    EdgePiece piece;
    piece.place = on_curve(place, fit->curve);
    piece.half_length_mm = half_length;
    piece.ground = fit->levels.ground;
    piece.motif = fit->levels.motif;
    piece.delta_e00 = delta_e_2000(lab_from_linear(piece.ground), lab_from_linear(piece.motif));
    piece.profile = edge.profile;
    piece.spread_mm = spread_of(picture, piece.place, edge.step_mm);
    piece.legs_spread_mm = legs_spread_of(picture, piece.place);
    piece.width_mm = piece.width_between(0.1, 0.9);
    const bool narrow = piece.profile.width_between(0.1, 0.9) <= kWidestOfReach * reach;
    const bool smooth = edge.uneven < (picture.knitted() ? kUnevenKnitted : kUneven);
    if (!narrow || !smooth || piece.delta_e00 < options.least_contrast ||
        !even_along(samples, fit->curve, fit->levels, {reach, half_length}) ||
        !on_the_way(samples, fit->curve, fit->levels, reach))
        return std::nullopt;
    return piece;
}

}  // namespace

std::string direction_words(EdgeDirection direction) {
    switch (direction) {
        case EdgeDirection::along_rows:
            return "along the rows";
        case EdgeDirection::across_rows:
            return "across the rows";
        case EdgeDirection::slanting:
            break;
    }
    return "slanting";
}

double EdgeProfile::place_of(double value) const {
    require(!values.empty(), "the profile has steps");
    const double step = 2 * reach_mm / static_cast<double>(values.size());
    const auto above = std::lower_bound(values.begin(), values.end(), value);
    if (above == values.begin()) return -reach_mm;
    if (above == values.end()) return reach_mm;
    const double before = *(above - 1), share = (value - before) / std::max(1e-12, *above - before);
    return -reach_mm + step * (static_cast<double>(above - values.begin()) - 0.5 + share);
}

double EdgeProfile::at(double mm) const {
    require(!values.empty(), "the profile has steps");
    const double place = (mm + reach_mm) / (2 * reach_mm) * static_cast<double>(values.size()) - 0.5;
    const double within = std::clamp(place, 0.0, static_cast<double>(values.size() - 1));
    const auto first = static_cast<std::size_t>(within);
    const std::size_t second = std::min(first + 1, values.size() - 1);
    return values[first] + (values[second] - values[first]) * (within - static_cast<double>(first));
}

EdgeDirection EdgePiece::direction() const {
    constexpr double kNear = 0.906;  // cosine of 25 degrees; chosen
    if (std::abs(place.normal_y) > kNear) return EdgeDirection::along_rows;
    if (std::abs(place.normal_x) > kNear) return EdgeDirection::across_rows;
    return EdgeDirection::slanting;
}

double EdgePiece::width_between(double low, double high) const {
    const double width = profile.width_between(low, high);
    // Variances add where edges are about Gaussian, so widths between the same shares do in squares.
    const double added = (normal_quantile(high) - normal_quantile(low)) * spread_mm;
    return std::sqrt(std::max(0.0, width * width - added * added));
}

double EdgePiece::width_less_legs(double share) const {
    return std::sqrt(std::max(0.0, width_mm * width_mm - share * legs_width_mm() * legs_width_mm()));
}

std::optional<EdgePiece> measured_piece(const DyedPicture& picture, EdgePlace place, const EdgeOptions& options) {
    if (options.reach_mm > 0) return piece_within(picture, place, options.reach_mm, options);
    const double least = std::max({2.5, 8 * picture.light_pixel_mm, 1.6 * picture.stitch_mm()});
    for (const double step : kReachSteps)
        if (auto piece = piece_within(picture, place, step * least, options)) return piece;
    return std::nullopt;
}

double piece_half_length_mm(const DyedPicture& picture) {
    return std::max(unit_mm(picture) * 1.5, 2.0);
}

double median_width(const std::vector<EdgePiece>& pieces) {
    if (pieces.empty()) return 0;
    std::vector<double> widths;
    for (const EdgePiece& piece : pieces) widths.push_back(piece.width_mm);
    std::sort(widths.begin(), widths.end());
    const std::size_t n = widths.size();
    return (widths[(n - 1) / 2] + widths[n / 2]) / 2;
}

EdgeProfile mean_profile(const std::vector<EdgePiece>& pieces) {
    constexpr std::size_t kSteps = 240;
    EdgeProfile mean;
    if (pieces.empty()) return mean;
    for (const EdgePiece& piece : pieces) mean.reach_mm = std::max(mean.reach_mm, piece.profile.reach_mm);
    mean.values.assign(kSteps, 0);
    for (std::size_t i = 0; i < kSteps; ++i) {
        const double mm = mean.reach_mm * (2 * (static_cast<double>(i) + 0.5) / kSteps - 1);
        for (const EdgePiece& piece : pieces) mean.values[i] += piece.profile.at(mm);
        mean.values[i] /= static_cast<double>(pieces.size());
    }
    return mean;
}

}  // namespace loopread
