#include "loopread/lattice/lattice.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <utility>
#include <vector>

#include "image/shared_rows.h"
#include "lattice/carrier.h"
#include "lattice/relief.h"

namespace loopread {
namespace {

// ---- how large stitches are and which way the wales run

struct Scale {
    int halvings = 0;
    double period = 0;      ///< of the slant, in pixels after halving
    double prominence = 0;  ///< share of the slant's power in and next to the peak
    bool lying = false;     ///< wales run across the picture
};

constexpr double kUsualStitch = 8;  // pixels, before anything is known
constexpr int kWindow = 128;
constexpr double kMostLean = 0.36;  // tan 20 degrees: 12 and some more for bows

Grid<float> slant_power(const Field& slant, int left, int top) {
    Grid<Wave> window(kWindow, kWindow);
    const int rows = std::min(kWindow, slant.rows()), columns = std::min(kWindow, slant.columns());
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x) {
            const double bell =
                std::sin(std::numbers::pi * (x + 0.5) / columns) * std::sin(std::numbers::pi * (y + 0.5) / rows);
            window(y, x) = slant(top + y, left + x) * static_cast<float>(bell * bell);
        }
    transform(window);
    Grid<float> power(kWindow, kWindow);
    std::transform(window.begin(), window.end(), power.begin(), [](Wave wave) { return std::norm(wave); });
    return power;
}

/// Mean spectrum of the slant over windows spread over the picture, each counted alike.
Grid<float> mean_slant_power(const Field& slant) {
    Grid<float> mean(kWindow, kWindow, 0.0F);
    const int across = slant.columns() > kWindow * 3 / 2 ? 2 : 1, down = slant.rows() > kWindow * 3 / 2 ? 3 : 1;
    for (int i = 0; i < down; ++i)
        for (int j = 0; j < across; ++j) {
            const int left = std::max(0, (slant.columns() - kWindow) * (2 * j + 1) / (2 * across));
            const int top = std::max(0, (slant.rows() - kWindow) * (2 * i + 1) / (2 * down));
            const Grid<float> power = slant_power(slant, left, top);
            float sum = 1e-9F;
            for (const float value : power) sum += value;
            std::transform(mean.begin(), mean.end(), power.begin(), mean.begin(),
                           [sum](float a, float b) { return a + b / sum; });
        }
    return mean;
}

/// The strongest wave of the slant near one axis of the spectrum.
Scale strongest(const Grid<float>& power, bool lying, double least_period, double most_period) {
    Scale scale;
    scale.lying = lying;
    const auto value = [&](int along, int across) {
        const int a = (along + kWindow) % kWindow, b = (across + kWindow) % kWindow;
        return static_cast<double>(lying ? power(a, b) : power(b, a));
    };
    double best = 0, total = 0;
    for (const float all : power) total += static_cast<double>(all) / 2;  // the other half is its mirror image
    for (int along = 1; along < kWindow / 2; ++along) {
        const double period = static_cast<double>(kWindow) / along;
        if (period < least_period || period > most_period) continue;
        const int reach = static_cast<int>(std::ceil(kMostLean * along));
        for (int across = -reach; across <= reach; ++across) {
            double near = 0;
            for (int i = -1; i <= 1; ++i)
                for (int j = -1; j <= 1; ++j) near += value(along + i, across + j);
            if (near <= best) continue;
            best = near;
            scale.period = period;
        }
    }
    scale.prominence = best / std::max(total, 1e-12);
    return scale;
}

// ---- wales and courses

/// The legs' slant as courses a quarter of a stitch: 2.16 wale spacings each (the loop at mid-leg [Crane 2023]), less
/// where the legs bend into the arcs.
constexpr double kLegRise = 0.62;

/// The fabric's own places over the upright picture after halving.
struct Places {
    Sheet stitch, row;
};

/// Means over blocks of rows about a stitch high: the slant stays the same along a wale.
Carrier wale_carrier(const Field& slant, double stitch) {
    const int rows = std::max(1, static_cast<int>(std::lround(slant.rows() / stitch)));
    Carrier carrier{Grid<Wave>(rows, slant.columns()), static_cast<double>(slant.rows()) / rows};
    for (int y = 0; y < slant.rows(); ++y) {
        Wave* to = carrier.values.row(y * rows / slant.rows());
        for (int x = 0; x < slant.columns(); ++x) to[x] += slant(y, x) / static_cast<float>(carrier.step);
    }
    return carrier;
}

/// exp(2 pi i rise) over a stitch, where rise is how much lower than mid-leg a leg lies there, in courses.
std::array<Wave, 256> leg_waves() {
    std::array<Wave, 256> result;
    for (std::size_t i = 0; i < result.size(); ++i) {
        const double stitch = (static_cast<double>(i) + 0.5) / static_cast<double>(result.size());
        const double lower = kLegRise * (1 - 4 * std::abs(stitch - 0.5));
        result[i] = {static_cast<float>(std::cos(2 * std::numbers::pi * lower)),
                     static_cast<float>(std::sin(2 * std::numbers::pi * lower))};
    }
    return result;
}

/// Brightness with the slant of the legs undone, sums over blocks of columns about a stitch wide; turned so that it
/// runs along the wales.
Carrier course_carrier(const Field& contrast, const Sheet& stitch, double period) {
    static const std::array<Wave, 256> waves = leg_waves();
    constexpr double kWholeTurns = 1 << 24;  // more than any picture has, so that cutting off rounds down
    const int columns = contrast.columns(), piece = static_cast<int>(stitch.step);
    const int blocks = std::max(1, static_cast<int>(std::lround(columns / period)));
    Carrier carrier{Grid<Wave>(blocks, contrast.rows()), static_cast<double>(columns) / blocks};
    for_each_row(contrast.rows(), columns, [&](int y) {
        std::vector<Wave> sums(static_cast<std::size_t>(blocks));
        for (int from = 0; from < columns; from += piece) {
            const double first = stitch.at(from + 0.5, y + 0.5), last = stitch.at(from + piece + 0.5, y + 0.5);
            const double ahead = (last - first) / piece;
            for (int x = from; x < std::min(columns, from + piece); ++x) {
                const double place = kWholeTurns + first + (x - from) * ahead;
                const Wave wave = waves[static_cast<std::size_t>(place * 256) & 255U];
                sums[static_cast<std::size_t>(x * blocks / columns)] += wave * contrast(y, x);
            }
        }
        for (int block = 0; block < blocks; ++block) carrier.values(block, y) = sums[static_cast<std::size_t>(block)];
    });
    return carrier;
}

/// The slant undone the wrong way, for comparison.
Carrier reversed(Carrier carrier) {
    for (Wave& wave : carrier.values) wave = std::conj(wave);
    return carrier;
}

// ---- what the texture has to look like

struct Steepness {
    double mean = 0;    ///< of all wales
    double uneven = 0;  ///< share of wales' stretches that are far less steep than most: purl among knit
};

/// Means along the wales as found, in stretches of a wale by two dozen rows.
std::vector<double> stretches_of(const Field& steepness, const Sheet& stitch, double width) {
    const int piece = static_cast<int>(stitch.step);
    const double high = 24 / 1.31 * width;
    const int bands = std::max(1, static_cast<int>(steepness.rows() / high));
    // wales that lean in from the sides count too
    const int middle = static_cast<int>((steepness.columns() + steepness.rows()) / width) + 4, wales = 2 * middle;
    Grid<double> sum(bands, wales), count(bands, wales);
    for (int y = 0; y < steepness.rows(); ++y)
        for (int from = 0; from < steepness.columns(); from += piece) {
            const double left = stitch.at(from + 0.5, y + 0.5) - stitch.at(0, 0) + middle;
            const double ahead = stitch.slope(from + 0.5, y + 0.5).x;
            const int band = std::min(bands - 1, static_cast<int>(y / high));
            for (int x = from; x < std::min(steepness.columns(), from + piece); ++x) {
                const int wale = std::clamp(static_cast<int>(left + (x - from) * ahead), 0, wales - 1);
                sum(band, wale) += static_cast<double>(steepness(y, x));
                count(band, wale) += 1;
            }
        }
    std::vector<double> means;
    for (int band = 0; band < bands; ++band)
        for (int wale = 0; wale < wales; ++wale)
            if (count(band, wale) > 0.4 * width * high) means.push_back(sum(band, wale) / count(band, wale));
    return means;
}

Steepness steepness_of(const Field& steepness, const Sheet& stitch, double width) {
    constexpr double kFarLess = 0.4;
    std::vector<double> means = stretches_of(steepness, stitch, width);
    Steepness result;
    if (means.empty()) return result;
    for (const double mean : means) result.mean += mean / static_cast<double>(means.size());
    std::sort(means.begin(), means.end());
    const double usual = means[means.size() * 3 / 4];
    result.uneven =
        static_cast<double>(std::lower_bound(means.begin(), means.end(), kFarLess * usual) - means.begin()) /
        static_cast<double>(means.size());
    return result;
}

/// 0 at `none`, 1 at `full`, straight in between.
double graded(double value, double none, double full) {
    return std::clamp((value - none) / (full - none), 0.0, 1.0);
}

/// One thing that has to be so, how far it is (0..1), and what to say if it is not.
struct Sign {
    double degree;
    const char* fault;
};

constexpr const char* kUnclear =
    "no even columns of V's can be followed over the picture: it is blurred or too coarse, or this is not plain "
    "knitting";
constexpr const char* kAcross =
    "the yarn lies across and not in V's: the purl side, garter stitch or woven cloth; photograph the knit side";
constexpr const char* kRib =
    "columns of V's and columns without by turns, as in rib: only plain knitting can be counted";
constexpr const char* kNoSlant = "the threads do not slant in V's: this looks woven, not plainly knitted";
constexpr const char* kProportion =
    "stitches and rows come out in a proportion no plain knitting has: crop the picture to "
    "the fabric, with its true proportions";
constexpr const char* kCoarse = "a stitch is less than 4 pixels wide: use a larger picture";

/// A reading of the picture at one scale, one way up.
struct Attempt {
    Places places;
    double stitches = 0, rows = 0;  ///< mean from edge to edge
    double confidence = 0;
    std::string fault = kUnclear;
};

/// Mean advance of a phase from the left edge to the right.
double advance(const Sheet& phase, double width, double height) {
    double sum = 0;
    const int lines = std::max(1, static_cast<int>(height / 4));
    for (int i = 0; i < lines; ++i) {
        const double y = (i + 0.5) * height / lines;
        sum += phase.at(width, y) - phase.at(0, y);
    }
    return sum / lines;
}

double followed_well(const Tracked& carrier) {
    return graded(carrier.followed, 0.7, 0.96);
}

/// What the ratio of wale to course spacing may be: 1.31 in relaxed plain knitting [Munden 1959], with room for fabric
/// that is stretched. Garter stitch lying on its side shows 2 c by w, 1.53.
double plausible_ratio(double ratio) {
    return std::min(graded(ratio, 1.0, 1.1), graded(ratio, 1.56, 1.46));
}

/// The picture at one scale with the wales upright.
struct View {
    Field light;
    double width = 0, height = 0;  ///< pixels; not whole where an odd last one was left out
};

/// @param period  of the slant, pixels; @param shrunk  pixels of the picture given in one of the view
Attempt attempted(const View& view, double period, double shrunk) {
    Attempt result;
    const Relief relief = relief_of(view.light, period);
    Tracked wales = tracked(wale_carrier(relief.slant, period), {period / 1.35, period * 1.35, kMostLean});
    if (!wales.found) return result;
    for (double& value : wales.phase.values) value -= 0.25;  // a left leg slants most a quarter into its stitch
    result.stitches = advance(wales.phase, view.width, view.height);
    const double stitch = view.width / std::max(1.0, result.stitches);
    const CarrierRange range{stitch / 1.9, stitch * 1.05, kMostLean * 1.31};
    Carrier carrier = course_carrier(relief.contrast, wales.phase, stitch);
    Tracked courses = tracked(carrier, range);
    if (!courses.found) return result;
    const double wrong_way = strength_along(reversed(std::move(carrier)), courses.phase);
    for (double& value : courses.phase.values) value += 0.5;  // legs are brightest half way down their row
    result.rows = advance(courses.phase, view.height, view.width);
    result.places = {wales.phase, transposed(courses.phase)};
    const Steepness steep = steepness_of(relief.steepness, wales.phase, stitch);
    const std::array<Sign, 8> signs{{
        {std::min(followed_well(wales), graded(wales.strength, 0.06, 0.18)), kUnclear},
        {steep.mean > 0.06 ? 1.0 : 0.0, kAcross},
        {graded(steep.uneven, 0.2, 0.08), kRib},
        {graded(courses.strength / (courses.strength + wrong_way + 1e-9), 0.58, 0.7), kNoSlant},
        {std::min(followed_well(courses), graded(courses.strength, 0.08, 0.24)), kUnclear},
        {plausible_ratio(stitch / (view.height / std::max(1.0, result.rows))), kProportion},
        {graded(stitch * shrunk, 3.6, 4.4), kCoarse},
        {1.0, ""},
    }};
    // the first of the worst: what is said first explains what comes after
    const auto worst =
        std::min_element(signs.begin(), signs.end(), [](const Sign& a, const Sign& b) { return a.degree < b.degree; });
    result.confidence = worst->degree;
    result.fault = worst->fault;
    return result;
}

// ---- from phases to stitches

/// Mean of exp(2 pi i stitch) along the left and right edges: what the selvedges say about where stitches begin.
std::complex<double> at_selvedges(const Sheet& stitch, const View& view) {
    std::complex<double> sum = 0;
    const int lines = std::max(1, static_cast<int>(view.height / 4));
    for (int i = 0; i < lines; ++i) {
        const double y = (i + 0.5) * view.height / lines;
        for (const double x : {0.0, view.width}) sum += std::polar(0.5 / lines, 2 * std::numbers::pi * stitch.at(x, y));
    }
    return sum;
}

/// Takes whole turns off, so that the fabric begins at 0 at its edge, on the mean.
void begin_at_edges(Places& places, const View& view) {
    double stitch = 0, row = 0;
    constexpr int kLines = 64;
    for (int i = 0; i < kLines; ++i) {
        const double share = (i + 0.5) / kLines;
        stitch += (places.stitch.at(0, share * view.height) + places.stitch.at(view.width, share * view.height)) /
                  (2 * kLines);
        row += (places.row.at(share * view.width, 0) + places.row.at(share * view.width, view.height)) / (2 * kLines);
    }
    const double stitches = advance(places.stitch, view.width, view.height);
    const double rows = advance(transposed(places.row), view.height, view.width);
    const double off_stitch = std::round(stitch - stitches / 2), off_row = std::round(row - rows / 2);
    for (double& value : places.stitch.values) value -= off_stitch;
    for (double& value : places.row.values) value -= off_row;
}

/// Where both phases have given values: Newton's method from a place nearby.
PicturePoint place_of(const Places& places, double stitch, double row, PicturePoint from) {
    for (int i = 0; i < 3; ++i) {
        const Slope s = places.stitch.slope(from.x, from.y), r = places.row.slope(from.x, from.y);
        const double ds = stitch - places.stitch.at(from.x, from.y), dr = row - places.row.at(from.x, from.y);
        const double area = s.x * r.y - s.y * r.x;
        if (std::abs(area) < 1e-9) break;
        from.x += (ds * r.y - dr * s.y) / area;
        from.y += (dr * s.x - ds * r.x) / area;
    }
    return from;
}

Grid<PicturePoint> middles_of(const Places& places, const View& view, int rows, int stitches) {
    Grid<PicturePoint> middles(rows, stitches);
    for (int r = 0; r < rows; ++r)
        for (int k = 0; k < stitches; ++k) {
            const PicturePoint from =
                k > 0   ? PicturePoint{middles(r, k - 1).x + view.width / stitches, middles(r, k - 1).y}
                : r > 0 ? PicturePoint{middles(r - 1, k).x, middles(r - 1, k).y + view.height / rows}
                        : PicturePoint{0.5 * view.width / stitches, 0.5 * view.height / rows};
            middles(r, k) = place_of(places, k + 0.5, r + 0.5, from);
        }
    return middles;
}

/// From here on the selvedges tell which way V's open; below it the ravel edge is believed to be on top, as is agreed.
constexpr double kSelvedgeTells = 0.3;

KnitLattice lattice_of(Attempt attempt, const View& view, const Scale& found) {
    KnitLattice result;
    const double scale = std::exp2(found.halvings);
    const double begins = at_selvedges(attempt.places.stitch, view).real();
    result.v_opens_up = begins > -kSelvedgeTells;
    result.v_confidence = std::abs(begins);
    if (!result.v_opens_up)
        for (double& value : attempt.places.stitch.values) value += 0.5;
    begin_at_edges(attempt.places, view);
    result.stitches_across = attempt.stitches;
    result.rows_along = attempt.rows;
    result.stitches = static_cast<int>(std::lround(attempt.stitches));
    result.rows = static_cast<int>(std::lround(attempt.rows));
    result.pixels_per_stitch = view.width / attempt.stitches * scale;
    result.confidence = attempt.confidence;
    result.turn = found.lying ? QuarterTurn::clockwise_90 : QuarterTurn::none;
    result.middles = middles_of(attempt.places, view, result.rows, result.stitches);
    for (PicturePoint& point : result.middles) {
        point = {point.x * scale, point.y * scale};
        if (found.lying) point = {point.y, view.width * scale - point.x};
    }
    return result;
}

// ---- scales to try

constexpr int kHalvings = 2;              // so that stitches of up to 4 x 13 pixels are found
constexpr double kLeastPeriod = 2.7;      // pixels: finer ones are found only to be refused
constexpr double kLeastHalvedPeriod = 5;  // finer ones show better in the picture not halved
constexpr double kMostPeriod = 13;
constexpr double kProminent = 0.004;  // noise shows 0.002 to 0.003
constexpr int kSmallest = 32;         // pixels

struct PeriodRange {
    double least = 0, most = 0;
};

/// The periods a hint leaves, for a picture so wide across the wales.
PeriodRange hinted(PeriodRange range, const LatticeHint& hint, double width) {
    if (hint.stitches <= 0) return range;
    const double period = width / hint.stitches;
    return {std::max(range.least, period / (1 + hint.tolerance)), std::min(range.most, period * (1 + hint.tolerance))};
}

View turned_view(const View& view) {
    return {turned_clockwise(view.light), view.height, view.width};
}

/// Where the slant repeats in a picture halved so many times, the more prominent first.
std::vector<Scale> scales_in(const View& view, int halvings, const LatticeHint& hint) {
    std::vector<Scale> scales;
    const Grid<float> power = mean_slant_power(slant_of(view.light, kUsualStitch));
    for (const bool lying : {false, true}) {
        const double width = lying ? view.height : view.width;
        const PeriodRange range = hinted({halvings == 0 ? kLeastPeriod : kLeastHalvedPeriod, kMostPeriod}, hint, width);
        Scale scale = strongest(power, lying, range.least, range.most);
        scale.halvings = halvings;
        if (scale.prominence >= kProminent) scales.push_back(scale);
    }
    if (scales.size() == 2 && scales[1].prominence > scales[0].prominence) std::swap(scales[0], scales[1]);
    return scales;
}

KnitLattice refused(const std::string& why) {
    KnitLattice result;
    result.why_not = why;
    return result;
}

}  // namespace

KnitLattice knit_lattice(const Image& rectified, const LatticeHint& hint) {
    if (std::min(rectified.rows(), rectified.columns()) < kSmallest)
        return refused("the picture is too small to count stitches in");
    KnitLattice best = refused(kUnclear);
    double most_prominent = 0;
    View view{grey(rectified), static_cast<double>(rectified.columns()), static_cast<double>(rectified.rows())};
    // finer ones first: a dyed pattern repeats more coarsely than stitches do, never more finely
    for (int halvings = 0; halvings <= kHalvings; ++halvings) {
        if (std::min(view.light.rows(), view.light.columns()) < kSmallest) break;
        for (const Scale& scale : scales_in(view, halvings, hint)) {
            const View turned = scale.lying ? turned_view(view) : View{};
            const View& upright = scale.lying ? turned : view;
            Attempt attempt = attempted(upright, scale.period, std::exp2(halvings));
            if (attempt.confidence >= kLatticeConfidence) return lattice_of(std::move(attempt), upright, scale);
            if (scale.prominence > most_prominent) best.why_not = attempt.fault;
            most_prominent = std::max(most_prominent, scale.prominence);
            best.confidence = std::max(best.confidence, attempt.confidence);
        }
        view = {halved(view.light), view.width / 2, view.height / 2};
    }
    return best;
}

}  // namespace loopread
