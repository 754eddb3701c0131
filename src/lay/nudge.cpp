#include "loopread/lay/nudge.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr double kReachCm = 10;  // the neighbourhood a change is told over
constexpr double kNoDye = 0.02;  // of full strength; chosen: not seen on the blank

/// A place on the blank in mm from its top left corner.
struct Place {
    double x = 0, y = 0;
};

struct BlankSize {
    double width = 0, length = 0;  // mm
};

BlankSize size_of(const BlankRaster& raster) {
    return {raster.columns * raster.mm_per_column, raster.rows * raster.mm_per_row};
}

double wrapped(double value, double period) {
    return value - period * std::floor(value / period);
}

/// Where a place of the design goes, motif middles and their spacing included.
Place moved(Place from, BlankSize blank, const Nudge& nudge, bool odd_line) {
    const double x = (from.x - blank.width / 2) * nudge.scale * nudge.spacing_across;
    const double y = (from.y - blank.length / 2) * nudge.scale * nudge.spacing_along;
    return {blank.width / 2 + x + nudge.slant * y + (odd_line ? nudge.stagger_mm : 0), blank.length / 2 + y};
}

// ---- a design as a whole: look up where each place comes from

Place origin(Place to, BlankSize blank, const Nudge& nudge) {
    const double y = to.y - blank.length / 2;
    const double from_y = blank.length / 2 + y / (nudge.scale * nudge.spacing_along);
    const bool odd = static_cast<long>(std::floor(from_y / kStaggerBandMm)) % 2 != 0;
    const double x = to.x - blank.width / 2 - nudge.slant * y - (odd ? nudge.stagger_mm : 0);
    return {wrapped(blank.width / 2 + x / (nudge.scale * nudge.spacing_across), blank.width),
            wrapped(from_y, blank.length)};
}

template <class T>
Grid<T> bent(const Grid<T>& design, const BlankRaster& raster, const Nudge& nudge) {
    const BlankSize blank = size_of(raster);
    Grid<T> out(design.rows(), design.columns());
    for (int row = 0; row < out.rows(); ++row)
        for (int column = 0; column < out.columns(); ++column) {
            const Place from =
                origin({(column + 0.5) * raster.mm_per_column, (row + 0.5) * raster.mm_per_row}, blank, nudge);
            out(row, column) = at(design, from.x / raster.mm_per_column, from.y / raster.mm_per_row);
        }
    return out;
}

// ---- separate motifs: put each one where it goes

/// One motif where it lands: pixel p of the copy is pixel middle + (p - landed) / scale of the design.
struct Landing {
    int motif = 0;
    double x = 0, y = 0;  // of its middle, pixels
};

/// Every copy of every motif that touches the blank, the design repeating beyond its edges.
std::vector<Landing> landings(const Motifs& motifs, const BlankRaster& raster, const Nudge& nudge) {
    const BlankSize blank = size_of(raster);
    std::vector<Landing> out;
    const int lines = motifs.motifs.back().line + 1;
    const double sideways = std::abs(nudge.slant) * blank.length / 2 + std::abs(nudge.stagger_mm) + blank.width / 2;
    const int across_reach =
        1 + static_cast<int>(std::ceil(sideways / (blank.width * nudge.scale * nudge.spacing_across)));
    const int down_reach = 1 + static_cast<int>(std::ceil(0.5 / (nudge.scale * nudge.spacing_along)));
    for (std::size_t i = 0; i < motifs.motifs.size(); ++i) {
        const Motif& motif = motifs.motifs[i];
        const double half_width = (motif.right - motif.left) / 2.0 * nudge.scale + 8;  // pixels; soft edges included
        const double half_height = (motif.bottom - motif.top) / 2.0 * nudge.scale + 8;
        for (int down = -down_reach; down <= down_reach; ++down)
            for (int across = -across_reach; across <= across_reach; ++across) {
                const int line = motif.line + down * lines;
                const Place to = moved({motif.middle_x() * raster.mm_per_column + across * blank.width,
                                        motif.middle_y() * raster.mm_per_row + down * blank.length},
                                       blank, nudge, line % 2 != 0);
                const Landing landing{static_cast<int>(i), to.x / raster.mm_per_column, to.y / raster.mm_per_row};
                if (landing.x + half_width < 0 || landing.x - half_width > raster.columns ||
                    landing.y + half_height < 0 || landing.y - half_height > raster.rows)
                    continue;
                out.push_back(landing);
            }
    }
    return out;
}

/// A place of the design belongs to a motif if its pixel or a neighbour does: between the two lies the motif's edge.
bool belongs(const Grid<int>& owner, int motif, double x, double y) {
    const int column = static_cast<int>(std::floor(x)), row = static_cast<int>(std::floor(y));
    for (int r = std::max(0, row - 1); r <= std::min(owner.rows() - 1, row + 1); ++r)
        for (int c = std::max(0, column - 1); c <= std::min(owner.columns() - 1, column + 1); ++c)
            if (owner(r, c) == motif) return true;
    return false;
}

/// How much of a pixel about a place lies on the design: a motif that the edge cuts off ends there.
double on_design(double x, double y, const BlankRaster& raster) {
    const auto share = [](double place, int size) { return std::clamp(std::min(place, size - place) + 0.5, 0.0, 1.0); };
    return share(x, raster.columns) * share(y, raster.rows);
}

/// Calls put(row, column, x, y) for each pixel of a landing, (x, y) being where in the design it comes from.
template <class Put>
void for_each_pixel(const Landing& landing, const Motifs& motifs, const Nudge& nudge, const BlankRaster& raster,
                    const Put& put) {
    const Motif& motif = motifs.motifs[static_cast<std::size_t>(landing.motif)];
    const double soft_mm = 5;  // a motif's soft surroundings reach beyond its box
    const double half_width = ((motif.right - motif.left) / 2.0 + soft_mm / raster.mm_per_column) * nudge.scale + 1;
    const double half_height = ((motif.bottom - motif.top) / 2.0 + soft_mm / raster.mm_per_row) * nudge.scale + 1;
    const int top = std::max(0, static_cast<int>(landing.y - half_height));
    const int bottom = std::min(raster.rows, static_cast<int>(landing.y + half_height) + 1);
    const int left = std::max(0, static_cast<int>(landing.x - half_width));
    const int right = std::min(raster.columns, static_cast<int>(landing.x + half_width) + 1);
    for (int row = top; row < bottom; ++row)
        for (int column = left; column < right; ++column) {
            const double x = motif.middle_x() + (column + 0.5 - landing.x) / nudge.scale;
            const double y = motif.middle_y() + (row + 0.5 - landing.y) / nudge.scale;
            if (belongs(motifs.owner, landing.motif, x, y)) put(row, column, x, y);
        }
}

/// Lifts the motifs off: under them lies what lies beside them in their row, of a picture the ground.
Paint without_motifs(const Paint& paint, const Motifs& motifs) {
    Paint out = paint;
    for (int row = 0; row < motifs.owner.rows(); ++row) {
        int beside = -1;  // the last column that is no motif's; in front of a first motif the next one
        for (int column = 0; column < motifs.owner.columns(); ++column) {
            if (motifs.owner(row, column) < 0) {
                beside = column;
                continue;
            }
            if (out.picture)
                (*out.picture)(row, column) = paint.ground.size() == 1 ? paint.ground(0, 0) : paint.ground(row, column);
            int from = beside;
            for (int next = column; from < 0 && next < motifs.owner.columns(); ++next)
                if (motifs.owner(row, next) < 0) from = next;
            for (std::size_t i = 0; i < out.layers.size(); ++i) {
                double under = from >= 0 ? paint.layers[i].amount(row, from) : 0;
                if (under < kNoDye) under = 0;  // the last of another motif's soft edge would leave a streak
                double& amount = out.layers[i].amount(row, column);
                amount = std::min(amount, under);
            }
        }
    }
    return out;
}

Paint with_motifs_moved(const Paint& paint, const Motifs& motifs, const Nudge& nudge) {
    Paint out = without_motifs(paint, motifs);
    for (const Landing& landing : landings(motifs, paint.raster, nudge))
        for_each_pixel(landing, motifs, nudge, paint.raster, [&](int row, int column, double x, double y) {
            const double part = on_design(x, y, paint.raster);
            if (out.picture)
                (*out.picture)(row, column) = mixed((*out.picture)(row, column), at(*paint.picture, x, y), part);
            for (std::size_t i = 0; i < out.layers.size(); ++i) {
                double& amount = out.layers[i].amount(row, column);
                amount = std::max(amount, part * at(paint.layers[i].amount, x, y));
            }
        });
    return out;
}

std::string cm(double mm) {
    return number_text(mm / 10, 1) + " cm";
}

std::string percent_larger(double factor, const char* larger, const char* smaller) {
    return number_text(std::abs(factor - 1) * 100, 1) + " % " + (factor > 1 ? larger : smaller);
}

/// The finer steps are left to single kinds; a step is two entries, one each way.
std::vector<Nudge> every_second_step(const std::vector<Nudge>& kind) {
    std::vector<Nudge> kept;
    for (std::size_t i = 2; i + 1 < kind.size(); i += 4) kept.insert(kept.end(), {kind[i], kind[i + 1]});
    return kept;
}

Nudge both(const Nudge& one, const Nudge& other) {
    return {.scale = one.scale * other.scale,
            .spacing_across = one.spacing_across * other.spacing_across,
            .spacing_along = one.spacing_along * other.spacing_along,
            .stagger_mm = one.stagger_mm + other.stagger_mm,
            .slant = one.slant + other.slant};
}

}  // namespace

double Nudge::change_cm() const {
    const double parts[] = {kReachCm * (scale - 1), kReachCm * (spacing_across - 1), kReachCm * (spacing_along - 1),
                            stagger_mm / 10, kReachCm * slant};
    double squares = 0;
    for (const double part : parts) squares += part * part;
    return std::sqrt(squares);
}

std::vector<Nudge> nudges_to_try(const Motifs& motifs) {
    // Steps of each kind, both ways; chosen: fine enough that the next one down would hardly be seen on the blank.
    std::vector<std::vector<Nudge>> kinds(5);  // scale, spacing across, spacing along, stagger, slant
    constexpr std::size_t kStaggers = 3;
    for (const double step : {0.025, 0.05, 0.075, 0.10, 0.125, kMostScale})
        for (const double way : {1.0, -1.0}) {
            kinds[0].push_back({.scale = 1 + way * step});
            if (!motifs.separate()) continue;
            if (motifs.across_mm > 0) kinds[1].push_back({.spacing_across = 1 + way * step});
            if (motifs.along_mm > 0) kinds[2].push_back({.spacing_along = 1 + way * step});
        }
    const double most_stagger = motifs.across_mm > 0 ? motifs.across_mm / 2 : kStaggerBandMm / 2;
    for (const double part : {0.25, 0.5, 0.75, 1.0})
        for (const double way : {1.0, -1.0}) kinds[3].push_back({.stagger_mm = way * part * most_stagger});
    for (const double slant : {0.03, 0.06, 0.09, 0.12, 0.15, 0.20, kMostSlant})
        for (const double way : {1.0, -1.0}) kinds[4].push_back({.slant = way * slant});
    std::vector<Nudge> all;
    for (const auto& kind : kinds) all.insert(all.end(), kind.begin(), kind.end());
    for (std::size_t a = 0; a < kinds.size(); ++a)
        for (std::size_t b = std::max(a + 1, a == 0 ? kStaggers : a + 1); b < kinds.size();
             ++b)  // scale would add to spacing
            for (const Nudge& one : every_second_step(kinds[a]))
                for (const Nudge& other : every_second_step(kinds[b])) all.push_back(both(one, other));
    std::stable_sort(all.begin(), all.end(),
                     [](const Nudge& one, const Nudge& other) { return one.change_cm() < other.change_cm(); });
    return all;
}

Paint nudged(const Paint& paint, const Motifs& motifs, const Nudge& nudge) {
    require(nudge.scale > 0 && nudge.spacing_across > 0 && nudge.spacing_along > 0, "a nudge keeps sizes over 0");
    if (nudge == Nudge{}) return paint;
    if (motifs.separate()) return with_motifs_moved(paint, motifs, nudge);
    Paint out = paint;
    if (out.picture) out.picture = bent(*paint.picture, paint.raster, nudge);
    for (DyeLayer& layer : out.layers) layer.amount = bent(layer.amount, paint.raster, nudge);
    return out;
}

std::vector<std::string> nudge_in_words(const Nudge& nudge, const Motifs& motifs) {
    std::vector<std::string> words;
    const bool separate = motifs.separate();
    if (nudge.scale != 1)
        words.push_back("Draw everything " + percent_larger(nudge.scale, "larger", "smaller") +
                        (separate
                             ? ": a motif of " + cm(motifs.size_mm) + " becomes " + cm(motifs.size_mm * nudge.scale)
                             : ": 10 cm become " + cm(100 * nudge.scale)) +
                        ".");
    if (nudge.spacing_across != 1)
        words.push_back("Set neighbouring motifs " + cm(motifs.across_mm * nudge.scale * nudge.spacing_across) +
                        " apart across the blank instead of " + cm(motifs.across_mm) + ", middle to middle.");
    if (nudge.spacing_along != 1)
        words.push_back("Set the lines of motifs " + cm(motifs.along_mm * nudge.scale * nudge.spacing_along) +
                        " apart along the blank instead of " + cm(motifs.along_mm) + ".");
    if (nudge.stagger_mm != 0)
        words.push_back(std::string("Move every other ") +
                        (separate ? "line of motifs " : "band of " + cm(kStaggerBandMm) + " ") +
                        cm(std::abs(nudge.stagger_mm)) + " to the " + (nudge.stagger_mm > 0 ? "right" : "left") + ".");
    if (nudge.slant != 0)
        words.push_back("Slant the " + std::string(separate ? "columns of motifs" : "design") + ": " +
                        cm(100 * std::abs(nudge.slant)) + " to the " + (nudge.slant > 0 ? "right" : "left") +
                        " over every 10 cm away from the ravel edge.");
    if (words.empty()) words.emplace_back("Nothing needs changing.");
    return words;
}

LeastNudge::LeastNudge(std::vector<Nudge> nudges, double clear_risk)
    : nudges_(std::move(nudges)), clear_risk_(clear_risk) {}

bool LeastNudge::done() const {
    return begun_ && (found_.clear || found_.tried == nudges_.size());
}

const Nudge& LeastNudge::next() const {
    static constexpr Nudge kNone{};
    require(!done(), "there is a nudge left");
    return begun_ ? nudges_[found_.tried] : kNone;
}

void LeastNudge::add(double worst_risk) {
    const Nudge nudge = next();
    if (begun_) {
        ++found_.tried;
        if (worst_risk >= found_.worst_risk) return;
    } else {
        begun_ = true;
        found_.risk_before = worst_risk;
    }
    found_.worst_risk = worst_risk;
    found_.nudge = nudge;
    found_.clear = worst_risk <= clear_risk_;
}

NudgeSearch least_nudge(const std::vector<Nudge>& nudges, double clear_risk,
                        const std::function<double(const Nudge&, double)>& worst_risk,
                        const std::function<void(std::size_t, std::size_t)>& tried) {
    LeastNudge search(nudges, clear_risk);
    while (!search.done()) {
        search.add(worst_risk(search.next(), search.enough()));
        if (tried && search.found().tried > 0) tried(search.found().tried, nudges.size());
    }
    return search.found();
}

}  // namespace loopread
