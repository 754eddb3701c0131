#include "loopread/sides/show_through.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"
#include "sides/dye_pattern.h"

namespace loopread {
namespace {

constexpr double kLikeUndyed = 6;  // CIEDE2000 at one luminance; chosen as the photo's undyed places, a stitch's mean
constexpr double kPainted = 10;    // CIEDE2000 from the ground on; chosen: uneven yarn stays under 5
constexpr double kLeastGround = 0.02;       // of all stitches
constexpr double kLeastPainted = 40;        // stitches away from edges of colour
constexpr double kEdgeOfColour = 0.05;      // of light between neighbouring stitches, at which one counts half
constexpr double kWidestTold = 0.3;         // of a figure between 0 and 1
constexpr double kRunsAway = 0.98;          // a wrap that stops there only because it must
constexpr double kNineteenInTwenty = 3.84;  // of chi squared, one degree of freedom
constexpr int kWraps = 41, kPenetrations = 51;

double luminance(LinearRgb c) {
    return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}
double dot(LinearRgb a, LinearRgb b) {
    return a.r * b.r + a.g * b.g + a.b * b.b;
}
double difference(LinearRgb a, LinearRgb b) {
    return delta_e_2000(lab_from_linear(a), lab_from_linear(b));
}
LinearRgb times(LinearRgb a, LinearRgb b) {
    return {a.r * b.r, a.g * b.g, a.b * b.b};
}

/// Channel by channel, so that a stray colour does no harm.
LinearRgb middle_of(const std::vector<LinearRgb>& colours) {
    const auto median = [&](double LinearRgb::*channel) {
        std::vector<double> values;
        values.reserve(colours.size());
        for (const LinearRgb& c : colours) values.push_back(c.*channel);
        const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
        std::nth_element(values.begin(), middle, values.end());
        return *middle;
    };
    return {median(&LinearRgb::r), median(&LinearRgb::g), median(&LinearRgb::b)};
}

Image over_cells(const Image& picture, int rows, int columns) {
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    return resampled(picture, whole, rows, columns);
}

/// Stitches sorted into ground and paint.
struct SortedStitches {
    Image paint;        ///< mean colour of each stitch on the painted side
    Plane even;         ///< how little a stitch differs from its neighbours: 1 not at all, 0 at an edge of colour
    Grid<char> ground;  ///< 1: undyed
    LinearRgb ground_colour;
    double ground_share = 0;
};

void find_ground(SortedStitches& out, LinearRgb undyed) {
    std::vector<LinearRgb> alike;
    double brightest = 0;
    const auto hue_alike = [&](LinearRgb c) {
        return luminance(c) > 0 && difference(c * (luminance(undyed) / luminance(c)), undyed) < kLikeUndyed;
    };
    for (const LinearRgb& c : out.paint)
        if (hue_alike(c)) brightest = std::max(brightest, luminance(c));
    for (const LinearRgb& c : out.paint)
        if (hue_alike(c) && luminance(c) > brightest / 2) alike.push_back(c);
    out.ground = Grid<char>(out.paint.rows(), out.paint.columns(), 0);
    out.ground_colour = undyed;
    if (static_cast<double>(alike.size()) < kLeastGround * static_cast<double>(out.paint.size())) return;
    out.ground_colour = middle_of(alike);
    std::size_t count = 0;
    for (int r = 0; r < out.paint.rows(); ++r)
        for (int c = 0; c < out.paint.columns(); ++c)
            if (difference(out.paint(r, c), out.ground_colour) < kLikeUndyed) {
                out.ground(r, c) = 1;
                ++count;
            }
    out.ground_share = static_cast<double>(count) / static_cast<double>(out.paint.size());
}

SortedStitches sorted_stitches(const SidePair& pair, LinearRgb undyed) {
    SortedStitches out;
    out.paint = over_cells(pair.painted, pair.cells.rows, pair.cells.stitches);
    out.even = Plane(pair.cells.rows, pair.cells.stitches, 0.0);
    for (int r = 1; r + 1 < pair.cells.rows; ++r)  // the outermost curl
        for (int c = 1; c + 1 < pair.cells.stitches; ++c) {
            double step = 0;
            for (const LinearRgb& next :
                 {out.paint(r - 1, c), out.paint(r + 1, c), out.paint(r, c - 1), out.paint(r, c + 1)}) {
                const LinearRgb off = next - out.paint(r, c);
                step = std::max(step, std::sqrt(dot(off, off)));
            }
            out.even(r, c) = 1 / (1 + step * step / (kEdgeOfColour * kEdgeOfColour));
        }
    find_ground(out, undyed);
    return out;
}

bool is_painted(const SortedStitches& stitches, int r, int c) {
    return stitches.ground_share == 0 || difference(stitches.paint(r, c), stitches.ground_colour) >= kPainted;
}

/// The gain that brings the other photo's undyed stitches to the colour of the painted side's.
LinearRgb matching_gain(const SortedStitches& stitches, const Image& other_cells) {
    std::vector<LinearRgb> undyed;
    for (int r = 0; r < other_cells.rows(); ++r)
        for (int c = 0; c < other_cells.columns(); ++c)
            if (stitches.ground(r, c) != 0 && stitches.even(r, c) > 0.5) undyed.push_back(other_cells(r, c));
    if (undyed.size() < 8) return {1, 1, 1};
    const LinearRgb seen = middle_of(undyed);
    const LinearRgb wanted = stitches.ground_colour;
    const auto gain = [](double want, double have) { return have > 1e-4 ? want / have : 1.0; };
    return {gain(wanted.r, seen.r), gain(wanted.g, seen.g), gain(wanted.b, seen.b)};
}

/// Part of the painted stitches' pixels that lie nearer the ground than the paint around them.
double pale_share(const SidePair& pair, const SortedStitches& stitches) {
    const Image parts = over_cells(pair.painted, pair.cells.rows * kPartsAlong, pair.cells.stitches * kPartsAcross);
    double pale = 0, all = 0;
    std::vector<LinearRgb> around;
    for (int r = 1; r + 1 < pair.cells.rows; ++r)
        for (int c = 1; c + 1 < pair.cells.stitches; ++c) {
            if (stitches.even(r, c) < 0.5) continue;
            around.clear();
            for (int y = (r - 1) * kPartsAlong; y < (r + 2) * kPartsAlong; ++y)
                for (int x = (c - 1) * kPartsAcross + y % 2; x < (c + 2) * kPartsAcross; x += 2)
                    around.push_back(parts(y, x));
            const LinearRgb paint = middle_of(around);
            if (difference(paint, stitches.ground_colour) < kPainted) continue;
            const LinearRgb way = paint - stitches.ground_colour;
            for (int y = r * kPartsAlong; y < (r + 1) * kPartsAlong; ++y)
                for (int x = c * kPartsAcross; x < (c + 1) * kPartsAcross; ++x) {
                    all += 1;
                    if (dot(parts(y, x) - stitches.ground_colour, way) < 0.5 * dot(way, way)) pale += 1;
                }
        }
    return all > 0 ? pale / all : 0;
}

/// Of one part of the stitch, over all stitches: what least squares needs to know of
/// light = shade (ground + k (paint - ground)).
struct PartSums {
    double light_light = 0, light_ground = 0, light_dye = 0, ground_ground = 0, ground_dye = 0, dye_dye = 0;

    void add(LinearRgb light, LinearRgb ground, LinearRgb dye, double weight) {
        light_light += weight * dot(light, light);
        light_ground += weight * dot(light, ground);
        light_dye += weight * dot(light, dye);
        ground_ground += weight * dot(ground, ground);
        ground_dye += weight * dot(ground, dye);
        dye_dye += weight * dot(dye, dye);
    }
    /// What the best shade leaves unexplained.
    double unexplained(double k) const {
        const double common = light_ground + k * light_dye;
        const double own = ground_ground + 2 * k * ground_dye + k * k * dye_dye;
        return light_light - (own > 0 ? common * common / own : 0);
    }
};

struct StitchSums {
    std::array<PartSums, static_cast<std::size_t>(kPartsAcross* kPartsAlong)> parts;
    double painted = 0;  ///< weight of painted stitches
    double weight = 0;   ///< of all
};

/// @param other  one value a part of a stitch, in the light of the painted side
StitchSums stitch_sums(const SortedStitches& stitches, const Image& other) {
    StitchSums sums;
    for (int r = 0; r < stitches.paint.rows(); ++r)
        for (int c = 0; c < stitches.paint.columns(); ++c) {
            const double weight = stitches.even(r, c);
            if (weight == 0) continue;
            sums.weight += weight;
            if (is_painted(stitches, r, c)) sums.painted += weight;
            for (int j = 0; j < kPartsAlong; ++j)
                for (int i = 0; i < kPartsAcross; ++i) {
                    const LinearRgb paint =
                        at(stitches.paint, c + (i + 0.5) / kPartsAcross, r + (j + 0.5) / kPartsAlong);
                    const int part = j * kPartsAcross + i;
                    sums.parts[static_cast<std::size_t>(part)].add(other(r * kPartsAlong + j, c * kPartsAcross + i),
                                                                   stitches.ground_colour,
                                                                   paint - stitches.ground_colour, weight);
                }
        }
    return sums;
}

/// What a photo may do to a stitch: chosen, from sharp to blurred over a fifth of a stitch, off by up to a quarter of a
/// stitch and of a row. Right and left are alike.
std::vector<DyePattern::Sharpness> possible_photos() {
    std::vector<DyePattern::Sharpness> photos;
    for (const double blur : {0.0, 0.04, 0.07, 0.1, 0.13, 0.16, 0.2})
        for (const double right : {0.0, 0.12, 0.25})
            for (const double down : {-0.2, -0.1, 0.0, 0.1, 0.2}) photos.push_back({blur, right, down});
    return photos;
}

/// Unexplained for every wrap and penetration, the photo's sharpness and lattice being what fits them best.
Plane misfits(const StitchSums& sums, const DyePattern& pattern) {
    std::vector<double> wraps(kWraps);
    for (int w = 0; w < kWraps; ++w) wraps[static_cast<std::size_t>(w)] = static_cast<double>(w) / (kWraps - 1);
    const std::vector<DyePattern::Sharpness> photos = possible_photos();
    std::vector<Plane> tables(photos.size());
    in_parallel(photos.size(), thread_count(0), [&] {
        return [&](std::size_t photo) {
            Plane& table = tables[photo] = Plane(kWraps, kPenetrations, 0.0);
            const std::vector<Plane> painted = pattern.painted(wraps, photos[photo]);
            for (int w = 0; w < kWraps; ++w)
                for (int p = 0; p < kPenetrations; ++p)
                    for (int part = 0; part < kPartsAcross * kPartsAlong; ++part) {
                        const double open =
                            painted[static_cast<std::size_t>(w)](part / kPartsAcross, part % kPartsAcross);
                        const double k = open + (1 - open) * p / (kPenetrations - 1);
                        table(w, p) += sums.parts[static_cast<std::size_t>(part)].unexplained(k);
                    }
        };
    });
    Plane least = tables.front();
    for (const Plane& table : tables)
        std::transform(least.begin(), least.end(), table.begin(), least.begin(),
                       [](double a, double b) { return std::min(a, b); });
    return least;
}

/// The least of a row of misfits, between grid points by a parabola, and what fits hardly worse.
/// @param stitches  how many independent ones stand behind the misfits: the parts of one stitch err together
ToldFigure least_of(const std::vector<double>& misfit, double stitches) {
    const auto best = std::min_element(misfit.begin(), misfit.end());
    const auto i = best - misfit.begin();
    const double step = 1.0 / static_cast<double>(misfit.size() - 1);
    const double limit = *best * std::exp(kNineteenInTwenty / stitches);
    ToldFigure out;
    out.value = static_cast<double>(i) * step;
    if (best != misfit.begin() && best + 1 != misfit.end()) {
        const double bend = best[-1] - 2 * best[0] + best[1];
        if (bend > 0) out.value += std::clamp((best[-1] - best[1]) / 2 / bend, -0.5, 0.5) * step;
    }
    const auto fits = [&](double value) { return value <= limit; };
    const auto low = std::find_if(misfit.begin(), misfit.end(), fits) - misfit.begin();
    const auto high = misfit.rend() - std::find_if(misfit.rbegin(), misfit.rend(), fits) - 1;
    // Half a step out: the limit lies between this grid point and the next.
    out.low = std::max(0.0, (static_cast<double>(low) - 0.5) * step);
    out.high = std::min(1.0, (static_cast<double>(high) + 0.5) * step);
    return out;
}

void judge(ToldFigure& figure) {
    if (figure.high - figure.low > kWidestTold)
        figure.why_not = "anything from " + number_text(figure.low, 2) + " to " + number_text(figure.high, 2) +
                         " fits the two photos about as well";
}

void fit_dye(const StitchSums& sums, const SidesModel& model, ShowThrough& out) {
    const Plane table = misfits(sums, DyePattern(model));
    std::vector<double> by_wrap(kWraps), by_penetration(kPenetrations, std::numeric_limits<double>::infinity());
    for (int w = 0; w < kWraps; ++w)
        by_wrap[static_cast<std::size_t>(w)] = *std::min_element(table.row(w), table.row(w) + kPenetrations);
    out.wrap = least_of(by_wrap, sums.painted);
    judge(out.wrap);
    if (out.wrap.told() && out.wrap.value > kRunsAway)
        out.wrap.why_not = "the fit runs to the end of its range, as it does for a blank of another number of strands";
    for (int p = 0; p < kPenetrations; ++p)
        for (int w = 0; w < kWraps; ++w)
            by_penetration[static_cast<std::size_t>(p)] =
                std::min(by_penetration[static_cast<std::size_t>(p)], table(w, p));
    out.penetration = least_of(by_penetration, sums.painted);
    if (!out.wrap.told()) {  // its value is the one that goes with the wrap to be used, its range that of every wrap
        if (model.usual_wrap >= out.wrap.low && model.usual_wrap <= out.wrap.high) out.wrap.value = model.usual_wrap;
        const int held = static_cast<int>(std::lround(out.wrap.value * (kWraps - 1)));
        out.penetration.value = least_of({table.row(held), table.row(held) + kPenetrations}, sums.painted).value;
    }
    judge(out.penetration);
    const double least = *std::min_element(table.begin(), table.end());
    out.residual = std::sqrt(std::max(0.0, least) / (sums.weight * 3 * kPartsAcross * kPartsAlong));
}

}  // namespace

ShowThrough show_through(const SidePair& pair, const SidesModel& model) {
    require(pair.cells.stitches >= 4 && pair.cells.rows >= 4, "there are stitches to compare");
    require(pair.painted.rows() == pair.other.rows() && pair.painted.columns() == pair.other.columns(),
            "the sides lie on each other");
    const SortedStitches stitches = sorted_stitches(pair, model.undyed);
    const Image other_cells = over_cells(without_shade(pair.other, pair.cells), pair.cells.rows, pair.cells.stitches);
    ShowThrough out;
    out.ground_share = stitches.ground_share;
    out.light_matched = stitches.ground_share > 0;
    if (out.light_matched) out.gain = matching_gain(stitches, other_cells);
    double painted = 0, lighter = 0;
    for (int r = 0; r < pair.cells.rows; ++r)
        for (int c = 0; c < pair.cells.stitches; ++c)
            if (is_painted(stitches, r, c)) {
                painted += 1;
                lighter +=
                    lab_from_linear(stitches.paint(r, c)).l - lab_from_linear(times(other_cells(r, c), out.gain)).l;
            }
    out.painted_share = painted / static_cast<double>(stitches.paint.size());
    out.lightness_difference = painted > 0 ? lighter / painted : 0;
    out.pale_flecks_share = pale_share(pair, stitches);
    out.wrap.value = model.usual_wrap;
    if (!out.light_matched) {
        out.wrap.why_not = out.penetration.why_not =
            "no undyed yarn shows on the painted side, by which the light of both photos could be matched";
        return out;
    }
    Image other = over_cells(pair.other, pair.cells.rows * kPartsAlong, pair.cells.stitches * kPartsAcross);
    for (LinearRgb& light : other) light = times(light, out.gain);
    const StitchSums sums = stitch_sums(stitches, other);
    if (sums.painted < kLeastPainted) {
        out.wrap.why_not = out.penetration.why_not = "too few stitches are painted evenly";
        return out;
    }
    fit_dye(sums, model, out);
    return out;
}

}  // namespace loopread
