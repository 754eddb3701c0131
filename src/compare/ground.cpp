#include "loopread/compare/ground.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <map>
#include <numeric>

#include "compare/distance.h"
#include "compare/strength.h"
#include "compare/unmixed.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr double kCell = 1.5;          // mm, of pictures without stitches
constexpr double kFarMm = 12;          // from the motif; chosen: three times what paste creeps
constexpr double kFewestPlainCm2 = 4;  // chosen: a patch of 2 x 2 cm
constexpr double kManyPlainCm2 = 20;   // chosen: enough to do without what lies nearer to the motif
constexpr double kVaries = 2.5;        // CIEDE2000 about the mean: from [ISO 105-A02] grade 3-4 on it is seen
constexpr double kOneHue = 0.95;       // cosine between two dyes in K/S; chosen: under 18 degrees
constexpr double kBled = 0.01;         // of the motif's dye; chosen: under it nobody sees a ring
constexpr double kBesideMm = 6;        // how far the ring beside the edge reaches beyond its own softness
constexpr double kTileMm = 30;         // places so far apart vary on their own; chosen
constexpr double kOtherColour = 0.35;  // of the contrast, off the way from ground to motif; chosen
constexpr double kTenPercent = 0.1;

/// A picture in cells, and how far each is from the motif.
struct Cells {
    Image light;
    double width_mm = 1, height_mm = 1;
    Grid<unsigned char> motif;
    Grid<double> off_mm;

    double cm2() const { return width_mm * height_mm / 100; }
    double largest_mm() const { return std::max(width_mm, height_mm); }
};

double share_of_way(LinearRgb light, const GroundSides& sides) {
    const LinearRgb way = sides.motif - sides.ground, from = light - sides.ground;
    return (way.r * from.r + way.g * from.g + way.b * from.b) /
           std::max(1e-12, way.r * way.r + way.g * way.g + way.b * way.b);
}

Cells cells_of(const DyedPicture& picture, const GroundSides& sides) {
    Cells cells;
    const int columns = picture.knitted() ? picture.cells.stitches
                                          : std::max(1, static_cast<int>(std::lround(picture.width_mm() / kCell)));
    const int rows = picture.knitted() ? picture.cells.rows
                                       : std::max(1, static_cast<int>(std::lround(picture.height_mm() / kCell)));
    const PixelBox whole{0, 0, static_cast<double>(picture.light.columns()), static_cast<double>(picture.light.rows())};
    cells.light = resampled(picture.light, whole, rows, columns);
    cells.width_mm = picture.width_mm() / columns;
    cells.height_mm = picture.height_mm() / rows;
    cells.motif = Grid<unsigned char>(rows, columns);
    const double contrast = delta_e_2000(lab_from_linear(sides.ground), lab_from_linear(sides.motif));
    // The edge of the dye, not of the light: half the dye takes much more than half the light.
    const double half_dye = DyeInLight(sides.ground, sides.motif).light_share(0.5);
    std::transform(cells.light.begin(), cells.light.end(), cells.motif.begin(), [&](LinearRgb light) {
        const double share = share_of_way(light, sides);
        const LinearRgb between = mixed(sides.ground, sides.motif, std::clamp(share, 0.0, 1.0));
        // Other stencils are no ground either.
        const bool other = delta_e_2000(lab_from_linear(between), lab_from_linear(light)) > kOtherColour * contrast;
        return static_cast<unsigned char>(share > half_dye || other);
    });
    cells.off_mm = distances(cells.motif, cells.width_mm, cells.height_mm);
    // From the edge, which lies half a cell before the first middle.
    for (double& off : cells.off_mm) off -= cells.largest_mm() / 2;
    return cells;
}

struct Place {
    double x = 0, y = 0, off = 0;  ///< mm; the last from the motif
    LinearRgb light;
};

std::vector<Place> ground_between(const Cells& cells, double from_mm, double to_mm) {
    std::vector<Place> out;
    for (int r = 0; r < cells.light.rows(); ++r)
        for (int c = 0; c < cells.light.columns(); ++c)
            if (!cells.motif(r, c) && cells.off_mm(r, c) >= from_mm && cells.off_mm(r, c) < to_mm)
                out.push_back(
                    {(c + 0.5) * cells.width_mm, (r + 0.5) * cells.height_mm, cells.off_mm(r, c), cells.light(r, c)});
    return out;
}

LinearRgb mean_of(const std::vector<Place>& places) {
    LinearRgb sum;
    for (const Place& place : places) sum += place.light;
    return sum * (1.0 / std::max<double>(1.0, static_cast<double>(places.size())));
}

/// The inside of motifs of the asked-for colour.
LinearRgb motif_inside(const Cells& cells, const GroundSides& sides) {
    Grid<unsigned char> others(cells.motif.rows(), cells.motif.columns());
    std::transform(cells.motif.begin(), cells.motif.end(), others.begin(),
                   [](unsigned char motif) { return static_cast<unsigned char>(!motif); });
    const Grid<double> inside = distances(others, cells.width_mm, cells.height_mm);
    const double deep = std::max(1.2 * sides.edge_width_mm, 1.5 * cells.largest_mm());
    std::vector<Place> places;
    const double contrast = delta_e_2000(lab_from_linear(sides.ground), lab_from_linear(sides.motif));
    for (int r = 0; r < cells.light.rows(); ++r)
        for (int c = 0; c < cells.light.columns(); ++c)
            if (inside(r, c) > deep &&
                delta_e_2000(lab_from_linear(cells.light(r, c)), lab_from_linear(sides.motif)) < 0.35 * contrast)
                places.push_back({0, 0, 0, cells.light(r, c)});
    return places.empty() ? sides.motif : mean_of(places);
}

/// Root mean square CIEDE2000 of patches about the slope that fits them, across the picture and away from the motif:
/// neither slowly changing light nor what bled is a ground of several hues.
double variation(const std::vector<Place>& places) {
    constexpr double kPatch = 5;  // mm: a stitch or so, so that noise and loops average out
    std::map<std::pair<int, int>, std::vector<Place>> patches;
    for (const Place& p : places)
        patches[{static_cast<int>(p.x / kPatch), static_cast<int>(p.y / kPatch)}].push_back(p);
    const auto count = static_cast<Eigen::Index>(patches.size());
    if (count < 6) return 0;
    Eigen::MatrixXd base(count, 4), lab(count, 3);
    Eigen::Index i = 0;
    for (const auto& [where, members] : patches) {
        const Lab colour = lab_from_linear(mean_of(members));
        double off = 0;
        for (const Place& place : members) off += place.off / static_cast<double>(members.size());
        base.row(i) << 1, where.first, where.second, std::exp(-off / kFarMm);
        lab.row(i) << colour.l, colour.a, colour.b;
        ++i;
    }
    const Eigen::MatrixXd slope = base.colPivHouseholderQr().solve(lab);
    const Eigen::MatrixXd level = lab - base * slope;
    const Eigen::RowVector3d mean = lab.colwise().mean();
    double squares = 0;
    for (i = 0; i < count; ++i) {
        const Lab middle{mean[0], mean[1], mean[2]};
        const double off = delta_e_2000(middle, {mean[0] + level(i, 0), mean[1] + level(i, 1), mean[2] + level(i, 2)});
        squares += off * off;
    }
    return std::sqrt(squares / static_cast<double>(count));
}

/// The dyes of a picture.
struct Dyes {
    KOverS undyed, ground, stencil;  ///< the last two as they lie over the undyed yarn

    bool ground_dyed() const { return dot(ground, ground) > 0.0025 * dot(stencil, stencil); }
    double stencil_in(LinearRgb light) const {
        const KOverS dyed = k_over_s(light) - undyed;
        if (ground_dyed()) return unmixed(dyed, ground, stencil).stencil;
        return std::max(0.0, dot(dyed - ground, stencil) / dot(stencil, stencil));
    }
    /// Less than none where the ground is paler than its mean: so that a fading ground averages out.
    double stencil_or_less_in(LinearRgb light) const {
        const KOverS dyed = k_over_s(light) - undyed;
        if (!ground_dyed()) return dot(dyed - ground, stencil) / dot(stencil, stencil);
        const double gg = dot(ground, ground), gs = dot(ground, stencil), ss = dot(stencil, stencil);
        return (dot(dyed, stencil) * gg - dot(dyed, ground) * gs) / std::max(1e-12, gg * ss - gs * gs);
    }
};

Dyes dyes_of(LinearRgb plain, LinearRgb motif, LinearRgb undyed) {
    const KOverS ground = k_over_s(plain);
    // Undyed yarn cannot be darker than the ground that was dyed on it.
    const KOverS white = k_over_s(undyed);
    const KOverS bare{std::min(white.r, ground.r), std::min(white.g, ground.g), std::min(white.b, ground.b)};
    return {bare, ground - bare, k_over_s(motif) - ground};
}

/// A figure of plain ground that changes slowly over it, as where the ground fades.
class SlowChange {
public:
    SlowChange(const std::vector<Place>& places, const std::function<double(LinearRgb)>& figure) {
        if (places.size() < kFewest) return;
        const auto count = static_cast<Eigen::Index>(places.size());
        Eigen::MatrixXd base(count, kTerms);
        Eigen::VectorXd figures(count);
        for (Eigen::Index i = 0; i < count; ++i) {
            const Place& place = places[static_cast<std::size_t>(i)];
            base.row(i) = terms(place);
            figures[i] = figure(place.light);
        }
        weights_ = base.colPivHouseholderQr().solve(figures);
    }

    double at(const Place& place) const { return terms(place).dot(weights_); }

private:
    static constexpr Eigen::Index kTerms = 5;
    static constexpr std::size_t kFewest = 24;  // chosen: some for each term

    static Eigen::RowVectorXd terms(const Place& place) {
        constexpr double kUnit = 100;  // mm, so that all are of one order
        const double x = place.x / kUnit, y = place.y / kUnit;
        Eigen::RowVectorXd out(kTerms);
        out << 1, x, y, x * x, y * y;
        return out;
    }

    Eigen::VectorXd weights_ = Eigen::VectorXd::Zero(kTerms);
};

/// Mean and its 95 % interval, from tiles that vary on their own.
RangedShare tiled_mean(const std::vector<Place>& places, const std::function<double(LinearRgb)>& share,
                       const SlowChange& without) {
    std::map<std::pair<int, int>, std::vector<Place>> tiles;
    for (const Place& p : places)
        tiles[{static_cast<int>(p.x / kTileMm), static_cast<int>(p.y / kTileMm)}].push_back(p);
    std::vector<double> means;
    for (const auto& [where, members] : tiles) {
        double of_itself = 0;
        for (const Place& place : members) of_itself += without.at(place) / static_cast<double>(members.size());
        means.push_back(share(mean_of(members)) - of_itself);
    }
    const double n = static_cast<double>(means.size());
    const double mean = std::accumulate(means.begin(), means.end(), 0.0) / std::max(1.0, n);
    double squares = 0;
    for (const double m : means) squares += (m - mean) * (m - mean);
    const double error = n > 1 ? std::sqrt(squares / (n - 1) / n) : 1;
    return {mean, mean - 2 * error, mean + 2 * error};
}

std::vector<DyeRing> rings_of(const Cells& cells, const Dyes& dyes, double far_mm) {
    std::vector<DyeRing> rings;
    const double step = cells.largest_mm();
    for (double from = 0; from < far_mm; from += step) {
        const std::vector<Place> places = ground_between(cells, from, from + step);
        constexpr std::size_t kFewest = 8;
        if (places.size() >= kFewest) rings.push_back({from + step / 2, dyes.stencil_in(mean_of(places))});
    }
    return rings;
}

std::optional<double> falls_to(const std::vector<DyeRing>& rings, double share) {
    for (std::size_t i = 0; i < rings.size(); ++i) {
        if (rings[i].share > share) continue;
        if (i == 0) return rings[0].mm;
        const DyeRing &one = rings[i - 1], &other = rings[i];
        return one.mm + (one.share - share) / (one.share - other.share) * (other.mm - one.mm);
    }
    return std::nullopt;
}

std::string percent(double share) {
    return number_text(100 * share, 1) + " %";
}

enum class Found { yes, no, unsure };
Found found(const RangedShare& share) {
    if (share.low > 0 && share.value > kBled) return Found::yes;
    return share.high < 2 * kBled || share.value < kBled ? Found::no : Found::unsure;
}

/// Stencil dye all over the ground: what plain ground gained, whatever the exposure was within its doubt.
RangedShare dye_far_off(const GroundReading& before, const GroundReading& after, const GroundOptions& options) {
    const Dyes dyes = dyes_of(before.plain, before.motif, options.undyed);
    const auto at_gain = [&](double gain) {
        const KOverS now = k_over_s(after.plain * gain) - dyes.undyed;
        return dyes.ground_dyed() ? unmixed(now, dyes.ground, dyes.stencil).stencil
                                  : dot(now - dyes.ground, dyes.stencil) / dot(dyes.stencil, dyes.stencil);
    };
    const double one = at_gain(1 / (1 + options.exposure_doubt)), other = at_gain(1 + options.exposure_doubt);
    return {at_gain(1), std::min(one, other), std::max(one, other)};
}

void tell(GroundChange& change, Found beside, Found far) {
    if (beside == Found::yes || far == Found::yes) {
        change.verdict = Change::softened;
        change.why = "stencil dye went into the ground: ";
        if (beside == Found::yes) change.why += percent(change.beside->value) + " of the motif's just beside it";
        if (far == Found::yes)
            change.why += (beside == Found::yes ? ", " : "") + percent(change.far->value) + " all over";
        return;
    }
    if (beside == Found::no && far == Found::no) {
        change.verdict = Change::no_change_seen;
        change.why = change.far ? "no stencil dye is seen in the ground" : "no stencil dye is seen beside the motif";
        return;
    }
    change.why =
        "there may be a little stencil dye in the ground, or the light differed; photograph both with a white "
        "patch, in the same light";
}

/// Why the grounds cannot be compared, or nothing.
std::string reason_against(const std::vector<const GroundReading*>& readings, const GroundOptions& options) {
    if (options.wetness == GroundOptions::Wetness::differs)
        return "one was photographed wet, the other dry: wet yarn looks darker; photograph both dry";
    for (const GroundReading* reading : readings)
        if (!reading->why_not.empty()) return reading->why_not;
    return "";
}

}  // namespace

GroundReading ground_reading(const DyedPicture& picture, const GroundSides& sides) {
    GroundReading out;
    const Cells cells = cells_of(picture, sides);
    out.motif = motif_inside(cells, sides);
    const double least = std::max({kFarMm, 2.5 * sides.edge_width_mm, 2 * picture.stitch_mm()});
    std::vector<Place> plain;
    for (const double farther : {2.5, 2.0, 1.5, 1.0}) {
        out.far_mm = farther * least;
        plain = ground_between(cells, out.far_mm, 1e9);
        out.plain_cm2 = static_cast<double>(plain.size()) * cells.cm2();
        if (out.plain_cm2 > kManyPlainCm2) break;
    }
    out.plain = plain.empty() ? sides.ground : mean_of(plain);
    if (out.plain_cm2 < kFewestPlainCm2) {
        out.why_not = "there is no plain ground " + number_text(out.far_mm, 0) +
                      " mm or more from any motif; leave a plain strip next time";
        return out;
    }
    out.variation_de00 = variation(plain);
    if (out.variation_de00 > kVaries) {
        out.why_not = "the plain ground varies by itself (CIEDE2000 " + number_text(out.variation_de00, 1) +
                      " about its mean, as where a mixed dye broke): stencil dye in it cannot be told apart";
        return out;
    }
    const Dyes dyes = dyes_of(out.plain, out.motif, sides.undyed);
    if (dyes.ground_dyed() && cosine(dyes.ground, dyes.stencil) > kOneHue) {
        out.why_not = "ground and stencil are of one hue: more of the one looks like more of the other";
        return out;
    }
    out.rings = rings_of(cells, dyes, out.far_mm);
    out.ten_percent_mm = falls_to(out.rings, kTenPercent);
    out.beside_from_mm = std::max(1.3 * sides.edge_width_mm, cells.largest_mm());
    out.beside_to_mm = std::min(out.beside_from_mm + kBesideMm, out.far_mm);
    const auto share = [&](LinearRgb light) { return dyes.stencil_or_less_in(light); };
    out.beside = tiled_mean(ground_between(cells, out.beside_from_mm, out.beside_to_mm), share, {plain, share});
    return out;
}

GroundChange ground_change(const GroundReading& before, const GroundReading& after, const GroundOptions& options) {
    GroundChange change;
    change.delta_e00 = delta_e_2000(lab_from_linear(before.plain), lab_from_linear(after.plain));
    change.why = reason_against({&before, &after}, options);
    if (!change.why.empty()) return change;
    const double low = after.beside.value - after.beside.low, high = before.beside.high - before.beside.value;
    const double doubt = std::hypot(low, high), more = after.beside.value - before.beside.value;
    change.beside = RangedShare{more, more - doubt, more + doubt};
    if (options.pieces == GroundOptions::Pieces::same) change.far = dye_far_off(before, after, options);
    tell(change, found(*change.beside), change.far ? found(*change.far) : Found::no);
    return change;
}

GroundChange ground_change(const GroundReading& after, const GroundOptions& options) {
    GroundChange change;
    change.why = reason_against({&after}, options);
    if (!change.why.empty()) return change;
    change.beside = after.beside;
    tell(change, found(*change.beside), Found::no);
    return change;
}

}  // namespace loopread
