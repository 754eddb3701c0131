#include "loopread/compare/change.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <optional>

#include "compare/strength.h"
#include "loopread/base/parallel.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr int kResamples = 1999;
constexpr double kTail = 0.025;
constexpr double kContrastDiffers = 1.2;  // "over a fifth"
constexpr double kStrengthDoubt = 0.5;    // of what strength gives: three channels are no spectrum; chosen
constexpr double kOtherContrast = 0.03;   // of the width: what noise adds to it as the contrast falls; chosen
constexpr double kTooVague = 0.5;         // of the width: an interval wider to either side says nothing

double median(std::vector<double> values) {
    require(!values.empty(), "there are values");
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    if (values.size() % 2 == 1) return *middle;
    return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

/// The value that a share of them lies under; of a half the median.
double quantile(std::vector<double> values, double share) {
    if (share == 0.5) return median(std::move(values));
    require(!values.empty(), "there are values");
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

template <class T, class Value>
std::vector<double> values_of(const std::vector<T>& items, Value value) {
    std::vector<double> out;
    for (const T& item : items) out.push_back(value(item));
    return out;
}

struct Interval {
    double low = 0, high = 0;

    bool above_zero() const { return low > 0; }
    bool below_zero() const { return high < 0; }
    bool holds_zero() const { return low <= 0 && high >= 0; }
    /// Wider by an independent doubt (two standard deviations) about `middle`.
    Interval with_doubt(double middle, double doubt) const {
        return {middle - std::hypot(middle - low, doubt), middle + std::hypot(high - middle, doubt)};
    }
};

std::vector<double> resampled(const std::vector<double>& values, Random& random) {
    std::vector<double> out(values.size());
    for (double& value : out)
        value = values[std::min(values.size() - 1,
                                static_cast<std::size_t>(random.uniform() * static_cast<double>(values.size())))];
    return out;
}

/// Percentiles of a figure over resamples.
Interval bootstrap(std::uint64_t seed, const std::function<double(Random&)>& figure) {
    Random random(seed, 0x65646765);
    std::vector<double> figures;
    for (int i = 0; i < kResamples; ++i) figures.push_back(figure(random));
    std::sort(figures.begin(), figures.end());
    const auto at = [&](double share) { return figures[static_cast<std::size_t>(share * (kResamples + 1)) - 1]; };
    return {at(kTail), at(1 - kTail)};
}

/// How wide a piece would look with its dye in another strength.
double width_in_strength(const EdgePiece& piece, const DyeInLight& other) {
    const DyeInLight own(piece.ground, piece.motif);
    const auto own_share = [&](double others) {
        return std::clamp(own.light_share(other.dye_share(others)), 0.01, 0.99);
    };
    return piece.width_between(own_share(0.1), own_share(0.9));
}

/// What a change of strength alone gives a pair: the mean of both ways to read it.
double strength_change(const EdgePair& pair) {
    const DyeInLight before(pair.before.ground, pair.before.motif), after(pair.after.ground, pair.after.motif);
    return ((width_in_strength(pair.before, after) - pair.before.width_mm) +
            (pair.after.width_mm - width_in_strength(pair.after, before))) /
           2;
}

LinearRgb mean_light(const std::vector<EdgePiece>& pieces, LinearRgb EdgePiece::*side) {
    LinearRgb sum;
    for (const EdgePiece& piece : pieces) sum += piece.*side;
    return sum * (1.0 / static_cast<double>(pieces.size()));
}

double mean_width_change(const std::vector<EdgePiece>& pieces, const DyeInLight& other) {
    return median(values_of(pieces, [&](const EdgePiece& p) { return width_in_strength(p, other) - p.width_mm; }));
}

double contrast_of(const std::vector<EdgePiece>& pieces) {
    return median(values_of(pieces, [](const EdgePiece& p) { return p.delta_e00; }));
}

std::string mm(double value) {
    return number_text(value, 2) + " mm";
}

bool contrasts_differ(const WidthChange& c) {
    const double most = std::max(c.contrast_before, c.contrast_after),
                 least = std::min(c.contrast_before, c.contrast_after);
    return most > kContrastDiffers * least;
}

bool before_under_floor(const WidthChange& c, const ChangeOptions& options) {
    return c.before_mm < options.floor_before_mm;
}
bool after_under_floor(const WidthChange& c, const ChangeOptions& options) {
    return c.after_mm < options.floor_after_mm;
}

/// Under the floor nothing is known but that: the change may be as small as from the floor.
Interval with_floor(Interval interval, const WidthChange& c, const ChangeOptions& options) {
    if (before_under_floor(c, options)) interval.low = std::min(interval.low, c.after_mm - options.floor_before_mm);
    if (after_under_floor(c, options)) interval.high = std::max(interval.high, options.floor_after_mm - c.before_mm);
    return interval;
}

void judge_interval(WidthChange& c, const Interval& raw, const Interval& net, double focus) {
    const bool softer = raw.above_zero() && net.above_zero(), sharper = raw.below_zero() && net.below_zero();
    const std::string by_strength = "a change of strength alone makes edges look " + mm(std::abs(c.strength_mm)) +
                                    (c.strength_mm >= 0 ? " wider" : " narrower");
    if (softer || sharper) {
        c.verdict = softer ? Change::softened : Change::sharpened;
        const double least = softer ? c.low_mm : -c.high_mm, most = softer ? c.high_mm : -c.low_mm;
        c.why = std::string("edges are ") + (softer ? "wider" : "narrower") + " by " + mm(std::abs(c.change_mm)) +
                " (95 % range: " + mm(least) + " to " + mm(most) + ")";
        if (std::abs(c.strength_mm) > 0.02 * std::max(c.before_mm, c.after_mm)) c.why += "; " + by_strength;
        return;
    }
    const std::string range = mm(c.low_mm) + " and " + mm(c.high_mm);
    if (contrasts_differ(c)) {
        c.verdict = Change::cannot_tell;
        c.why = "the motif stands out by CIEDE2000 " + number_text(c.contrast_before, 0) + " before and " +
                number_text(c.contrast_after, 0) + " after: " + by_strength + ", and what is left over is not sure";
        return;
    }
    if (raw.holds_zero() && net.holds_zero()) {
        c.verdict = Change::no_change_seen;
        c.why = "the change lies between " + range + "";
        return;
    }
    c.why = "the change lies between " + range + ", but " +
            (std::abs(focus) > std::abs(c.strength_mm)
                 ? std::string(focus > 0 ? "the second" : "the first") +
                       " photo is less sharp, or lit more flatly: its loops stand out less, which alone may make edges "
                       "look " +
                       mm(std::abs(focus)) + " wider"
                 : by_strength);
}

/// What another focus alone makes of the sharper one's width.
double by_focus(const WidthChange& c, const ChangeOptions& options) {
    const double added = kWidthPerSigma * options.less_sharp_mm;
    return options.less_sharp_mm >= 0 ? std::hypot(c.before_mm, added) - c.before_mm
                                      : c.after_mm - std::hypot(c.after_mm, added);
}

/// @param raw  interval by chance alone
void judge(WidthChange& c, Interval raw, const ChangeOptions& options) {
    const double doubt = options.method_share * std::hypot(c.before_mm, c.after_mm) * 2 / std::sqrt(2.0);
    raw = raw.with_doubt(c.change_mm, doubt);
    Interval net{raw.low - c.strength_mm, raw.high - c.strength_mm};
    const double noise = contrasts_differ(c) ? kOtherContrast * c.after_mm : 0;
    net = net.with_doubt(c.change_mm - c.strength_mm, std::hypot(kStrengthDoubt * c.strength_mm, noise));
    const double focus = by_focus(c, options);
    net.low -= std::max(0.0, focus);
    net.high -= std::min(0.0, focus);
    raw = with_floor(raw, c, options);
    c.low_mm = raw.low;
    c.high_mm = raw.high;
    const double floor_mm = std::max(options.floor_before_mm, options.floor_after_mm);
    const bool narrow_before = before_under_floor(c, options), narrow_after = after_under_floor(c, options);
    if (narrow_after && (narrow_before || c.before_mm < floor_mm)) {
        c.why = "the edges are finer than can be seen here (" + mm(floor_mm) + ")";
        return;
    }
    if (raw.high - raw.low > 2 * kTooVague * std::max(c.before_mm, c.after_mm)) {
        c.why = "edges differ so much among themselves that the change may lie anywhere between " + mm(raw.low) +
                " and " + mm(raw.high);
        if (!(raw.above_zero() || raw.below_zero())) return;
    }
    judge_interval(c, raw, net, focus);
    if ((narrow_before || narrow_after) && c.verdict != Change::cannot_tell)
        c.why += "; the narrower one is finer than can be seen here (" + mm(floor_mm) + "), its width is a guess";
}

bool enough(WidthChange& c) {
    if (std::min(c.pieces_before, c.pieces_after) >= kFewestPieces) return true;
    c.why = "too few clean edges were found (" + std::to_string(c.pieces_before) + " before, " +
            std::to_string(c.pieces_after) + " after); give sharper or larger photos";
    return false;
}

/// The same edge about where it should be: a photo lies never quite on another.
std::optional<EdgePiece> found_again(const DyedPicture& picture, const EdgePlace& place, const EdgePiece& piece,
                                     const EdgeOptions& options) {
    constexpr std::array<double, 5> kSteps{0, 0.5, -0.5, 1, -1};  // of the reach, along the normal
    constexpr double kAlike = 0.8;                                // cosine of their normals
    const auto dot = [](LinearRgb a, LinearRgb b) { return a.r * b.r + a.g * b.g + a.b * b.b; };
    for (const double step : kSteps) {
        EdgePlace there = place;
        there.x_mm += step * piece.profile.reach_mm * place.normal_x;
        there.y_mm += step * piece.profile.reach_mm * place.normal_y;
        auto found = measured_piece(picture, there, options);
        if (!found) continue;
        const double turn = found->place.normal_x * place.normal_x + found->place.normal_y * place.normal_y;
        // An edge from motif to ground is the other side of a line, not this one.
        const bool same_way = dot(found->motif - found->ground, piece.motif - piece.ground) > 0;
        if (turn > kAlike && same_way) return found;
    }
    return std::nullopt;
}

/// Where the second picture is more like the motif beyond the edge than before it.
bool lies_there(const DyedPicture& picture, const EdgePlace& place, const EdgePiece& piece) {
    constexpr double kStep = 0.5;  // of the contrast; chosen
    const double w = 1 / picture.pixel_width_mm, h = 1 / picture.pixel_height_mm;
    const LinearRgb way = piece.motif - piece.ground;
    const auto share = [&](double off) {
        constexpr int kLooks = 9;  // along the edge, over its whole length
        LinearRgb sum;
        for (int i = 0; i < kLooks; ++i) {
            const double along = piece.half_length_mm * (2.0 * i / (kLooks - 1) - 1);
            sum += at(picture.light, (place.x_mm + off * place.normal_x - along * place.normal_y) * w,
                      (place.y_mm + off * place.normal_y + along * place.normal_x) * h);
        }
        const LinearRgb light = sum * (1.0 / kLooks);
        return (light.r * way.r + light.g * way.g + light.b * way.b) /
               std::max(1e-12, way.r * way.r + way.g * way.g + way.b * way.b);
    };
    const double off = piece.profile.reach_mm / 2;
    return share(off) - share(-off) > kStep;
}

/// Medians of the change, with three shares of what legs may have added taken off.
struct LegReadings {
    double seen = 0, middle = 0, narrowest = 0;

    /// So far apart they say no more than that the edge is no wider than it looks.
    bool alike() const {
        constexpr double kApart = 1.15;  // chosen: a width is asked for to 15 %
        return middle <= kApart * narrowest && seen <= kApart * middle;
    }
};

std::vector<double> steps_less_legs(const std::vector<EdgePair>& pairs, double share) {
    return values_of(pairs,
                     [&](const EdgePair& pair) { return pair.after.width_less_legs(share) - pair.before.width_mm; });
}

/// Against an exact first picture: between what the second looks like and what it would be with legs of one colour.
void judge_against_exact(WidthChange& c, const std::vector<EdgePair>& pairs, const ChangeOptions& options) {
    constexpr double kMiddle = 0.5;       // of the variance, halfway between the two readings
    constexpr double kFewestClean = 0.6;  // chosen: with fewer the softest of them would stand for all
    const std::vector<double> seen = steps_less_legs(pairs, 0), narrowest = steps_less_legs(pairs, 1);
    const auto chance = [&](const std::vector<double>& steps, double share) {
        return bootstrap(options.seed, [&](Random& random) { return quantile(resampled(steps, random), share); });
    };
    // Were all those softer that could not be measured, the median of all would lie so far up.
    const double up = 0.5 / std::clamp(options.share_clean, kFewestClean, 1.0);
    const Interval raw{chance(narrowest, 0.5).low, chance(seen, up).high};
    const LegReadings readings{median(seen), median(steps_less_legs(pairs, kMiddle)), median(narrowest)};
    c.change_mm = readings.middle;
    c.after_mm = median(values_of(pairs, [](const EdgePair& pair) { return pair.after.width_less_legs(kMiddle); }));
    judge(c, raw, options);
    if (options.share_clean < kFewestClean) {
        c.verdict = Change::cannot_tell;
        c.high_mm = std::numeric_limits<double>::infinity();
        c.why = "only " + number_text(100 * options.share_clean, 0) +
                " % of the edges could be measured: the others run into something else before they end, and may be "
                "softer";
        return;
    }
    c.widest_mm = std::max(c.before_mm + c.high_mm, options.floor_after_mm);
    if (c.legs_mm == 0 || readings.alike()) return;
    c.verdict = Change::cannot_tell;
    c.why = "edges look " + mm(c.seen_mm) + " wide, and the stitches alone may make a sharp edge look " +
            mm(c.legs_mm) + " wide: the edges are no wider than " + mm(*c.widest_mm);
    if (c.low_mm > options.floor_after_mm) c.why += " and no narrower than " + mm(c.before_mm + c.low_mm);
}

}  // namespace

double less_sharp_mm(const DyedPicture& before, const DyedPicture& after) {
    if (!before.knitted() || !after.knitted() || !(before.relief > 0) || !(after.relief > 0)) return 0;
    const double ratio = after.relief / before.relief;
    constexpr double kAsGood = 0.1;  // of the relief; chosen: two photos of one piece differ by as much
    if (std::abs(std::log(ratio)) < kAsGood) return 0;
    // A blur of standard deviation s leaves exp(-2 pi^2 s^2 f^2) of what comes f times a millimetre: two legs a stitch.
    const double times = 2 / before.stitch_mm();
    const double sigma = std::sqrt(std::abs(std::log(ratio)) / 2) / (std::numbers::pi * times);
    return ratio < 1 ? sigma : -sigma;
}

std::string change_words(Change change) {
    switch (change) {
        case Change::softened:
            return "softened";
        case Change::sharpened:
            return "sharpened";
        case Change::no_change_seen:
            return "no change seen";
        case Change::cannot_tell:
            break;
    }
    return "cannot tell";
}

PairedEdges edge_pairs(const DyedPicture& before, const DyedPicture& after, LinearRgb ground,
                       const EdgeOptions& options) {
    EdgeOptions apart = options;  // or neighbours would tell the same twice
    apart.apart_mm = std::max(options.apart_mm, pieces_apart_mm(after));
    // A piece that is clean only where it is shorter has a corner in it where it is longer.
    if (!(options.half_length_mm > 0))
        apart.half_length_mm = std::max(piece_half_length_mm(before), piece_half_length_mm(after));
    const std::vector<EdgePiece> pieces = edge_pieces(before, ground, apart);
    const double scale_x = after.width_mm() / before.width_mm(), scale_y = after.height_mm() / before.height_mm();
    std::vector<std::optional<EdgePair>> pairs(pieces.size());
    std::vector<unsigned char> there_too(pieces.size());
    in_parallel(pieces.size(), thread_count(0), [&] {
        return [&](std::size_t i) {
            EdgePlace place = pieces[i].place;
            place.x_mm *= scale_x;
            place.y_mm *= scale_y;
            const auto there = found_again(after, place, pieces[i], apart);
            there_too[i] = there.has_value() || lies_there(after, place, pieces[i]);
            if (!there) return;
            place = there->place;
            EdgeOptions alike = apart;
            alike.reach_mm = std::max(there->profile.reach_mm, pieces[i].profile.reach_mm);
            const auto one = alike.reach_mm > pieces[i].profile.reach_mm
                                 ? measured_piece(before, pieces[i].place, alike)
                                 : pieces[i];
            const auto other = alike.reach_mm > there->profile.reach_mm ? measured_piece(after, place, alike) : there;
            if (one && other) pairs[i] = EdgePair{*one, *other};
        };
    });
    PairedEdges out;
    out.looked_for = pieces.size();
    out.lie_there = static_cast<std::size_t>(std::count(there_too.begin(), there_too.end(), 1));
    for (auto& pair : pairs)
        if (pair) out.pairs.push_back(std::move(*pair));
    return out;
}

WidthChange width_change(const std::vector<EdgePair>& pairs, const ChangeOptions& options) {
    std::vector<EdgePiece> before, after;
    for (const EdgePair& pair : pairs) {
        before.push_back(pair.before);
        after.push_back(pair.after);
    }
    WidthChange c;
    c.pieces_before = c.pieces_after = pairs.size();
    c.before_mm = median_width(before);
    c.after_mm = c.seen_mm = median_width(after);
    if (!enough(c)) return c;
    c.contrast_before = contrast_of(before);
    c.contrast_after = contrast_of(after);
    const std::vector<double> steps =
        values_of(pairs, [](const EdgePair& pair) { return pair.after.width_mm - pair.before.width_mm; });
    c.change_mm = median(steps);
    c.strength_mm = median(values_of(pairs, strength_change));
    c.legs_mm = median(values_of(pairs, [](const EdgePair& pair) { return pair.after.legs_width_mm(); }));
    if (options.first == ChangeOptions::First::exact) {
        judge_against_exact(c, pairs, options);
        return c;
    }
    judge(c, bootstrap(options.seed, [&](Random& random) { return median(resampled(steps, random)); }), options);
    return c;
}

WidthChange width_change(const std::vector<EdgePiece>& before, const std::vector<EdgePiece>& after,
                         const ChangeOptions& options) {
    WidthChange c;
    c.pieces_before = before.size();
    c.pieces_after = after.size();
    c.before_mm = median_width(before);
    c.after_mm = c.seen_mm = median_width(after);
    c.change_mm = c.after_mm - c.before_mm;
    if (!enough(c)) return c;
    c.contrast_before = contrast_of(before);
    c.contrast_after = contrast_of(after);
    const DyeInLight first(mean_light(before, &EdgePiece::ground), mean_light(before, &EdgePiece::motif));
    const DyeInLight second(mean_light(after, &EdgePiece::ground), mean_light(after, &EdgePiece::motif));
    c.strength_mm = (mean_width_change(before, second) - mean_width_change(after, first)) / 2;
    const auto width = [](const EdgePiece& piece) { return piece.width_mm; };
    const std::vector<double> ones = values_of(before, width), others = values_of(after, width);
    const Interval chance = bootstrap(options.seed, [&](Random& random) {
        const double one = median(resampled(ones, random));
        return median(resampled(others, random)) - one;
    });
    judge(c, chance, options);
    return c;
}

}  // namespace loopread
