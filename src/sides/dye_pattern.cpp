#include "sides/dye_pattern.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kSights = 3;  // each way in a part of the stitch
constexpr int kAcross = kPartsAcross * kSights, kAlong = kPartsAlong * kSights;
constexpr int kAngles = 8;  // of two strands: over a blank all angles occur

double painted_part(double painted, double other, double wrap) {
    if (other <= 0) return 0;
    const double reached = std::min(1.0, painted * (1 + wrap));
    return std::clamp((reached - (1 - other)) / other, 0.0, 1.0);
}

/// About how light a photo shows what a line of sight meets; chosen: only its share within one part of a stitch counts.
double about_light(const SeenYarn& seen) {
    constexpr double kTurnedAway = 0.5, kGap = 0.4;
    return seen.outside > 0 ? kGap : kTurnedAway + (1 - kTurnedAway) * std::abs(seen.normal.z);
}

/// Weights of cells so many steps on, round and round.
std::vector<double> spread(double sigma, double shift, int length) {
    constexpr double kNarrow = 0.3;  // cells: narrower than that straight lines lie between
    std::vector<double> out(static_cast<std::size_t>(length), 0.0);
    double sum = 0;
    for (int i = 0; i < length; ++i) {
        double& weight = out[static_cast<std::size_t>(i)];
        for (int turn = -2; turn <= 2; ++turn) {
            const double far = i + turn * length - shift;
            weight += sigma > kNarrow ? std::exp(-far * far / (2 * sigma * sigma)) : std::max(0.0, 1 - std::abs(far));
        }
        sum += weight;
    }
    for (double& weight : out) weight /= sum;
    return out;
}

Plane spread_out(const Plane& plane, const std::vector<double>& across, const std::vector<double>& along) {
    Plane half(plane.rows(), plane.columns(), 0.0), out(plane.rows(), plane.columns(), 0.0);
    for (int r = 0; r < plane.rows(); ++r)
        for (int c = 0; c < plane.columns(); ++c)
            for (int i = 0; i < plane.columns(); ++i)
                half(r, (c + i) % plane.columns()) += plane(r, c) * across[static_cast<std::size_t>(i)];
    for (int r = 0; r < plane.rows(); ++r)
        for (int i = 0; i < plane.rows(); ++i)
            for (int c = 0; c < plane.columns(); ++c)
                out((r + i) % plane.rows(), c) += half(r, c) * along[static_cast<std::size_t>(i)];
    return out;
}

Plane in_parts(const Plane& sights) {
    Plane parts(kPartsAlong, kPartsAcross, 0.0);
    for (int r = 0; r < kAlong; ++r)
        for (int c = 0; c < kAcross; ++c) parts(r / kSights, c / kSights) += sights(r, c);
    return parts;
}

}  // namespace

DyePattern::DyePattern(const SidesModel& model)
    : row_per_stitch_(model.shape.course_spacing()), sights_(kAlong, kAcross), light_(kAlong, kAcross, 0.0) {
    require(model.strands == 1 || model.strands == 2, "a blank holds one strand or two");
    const CellShares shares(model.shape, model.strands);
    const Side painted = model.other == Side::back ? Side::face : Side::back;
    const int angles = model.strands == 1 ? 1 : kAngles;
    for (int i = 0; i < angles; ++i) {
        const double angle = 2 * std::numbers::pi * i / angles;
        const LoopCell cell(model.shape, model.strands, angle);
        for (int r = 0; r < kAlong; ++r)
            for (int c = 0; c < kAcross; ++c) {
                // Left and right need no telling apart: the loop is its own mirror image, and all angles occur.
                const SeenYarn seen =
                    cell.seen(model.other, (c + 0.5) / kAcross - 0.5, (0.5 - (r + 0.5) / kAlong) * row_per_stitch_);
                sights_(r, c).push_back({shares.share(painted, seen.strand, seen.place, angle),
                                         shares.share(model.other, seen.strand, seen.place, angle), about_light(seen)});
                light_(r, c) += sights_(r, c).back().light;
            }
    }
}

std::vector<Plane> DyePattern::painted(const std::vector<double>& wraps, const Sharpness& sharpness) const {
    const double per_stitch = kAlong / row_per_stitch_;
    const std::vector<double> across = spread(sharpness.blur * kAcross, sharpness.right * kAcross, kAcross);
    const std::vector<double> along = spread(sharpness.blur * per_stitch, sharpness.down * per_stitch, kAlong);
    const Plane all = in_parts(spread_out(light_, across, along));
    std::vector<Plane> out;
    for (const double wrap : wraps) {
        Plane painted(kAlong, kAcross, 0.0);
        for (int r = 0; r < kAlong; ++r)
            for (int c = 0; c < kAcross; ++c)
                for (const Sight& sight : sights_(r, c))
                    painted(r, c) += sight.light * painted_part(sight.painted, sight.other, wrap);
        Plane parts = in_parts(spread_out(painted, across, along));
        std::transform(parts.begin(), parts.end(), all.begin(), parts.begin(), std::divides<>());
        out.push_back(std::move(parts));
    }
    return out;
}

Plane painted_from_other_side(const SidesModel& model, double wrap) {
    require(wrap >= 0 && wrap <= 1, "wrap is a share");
    return DyePattern(model).painted({wrap}, {}).front();
}

}  // namespace loopread
