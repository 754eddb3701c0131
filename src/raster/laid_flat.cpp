#include "loopread/raster/laid_flat.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "loopread/base/parallel.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/raster/cloth.h"
#include "raster/laid_flat_mesh.h"
#include "raster/laid_flat_neighbours.h"
#include "raster/laid_flat_table.h"
#include "raster/stamp.h"

namespace loopread {
namespace {

constexpr double kMargin = 0.9;     // cm of table around the garment: room for its shadow
constexpr int kLamps = 32;          // directions of light that stamps are made for
constexpr double kOverlap = 0.012;  // of a stitch: closes the hairline between neighbours whose edges are cut alike
// Chosen by eye.
constexpr double kWander = 0.16;                             // stitch widths that fabric strays over a few stitches ...
constexpr double kStray = 0.075;                             // ... and from one to the next
constexpr double kSway = 0.045;                              // cm that the outline sways
constexpr double kPurlShade = 0.78, kKnitInRibShade = 1.03;  // a purl rib lies deeper

/// Displacement that passes softly from place to place: value noise in two sizes and a slow sway.
class Liveliness {
public:
    Liveliness(const LaidFlatLook& look)
        : seed_(look.seed), amount_(look.unevenness), stitch_(look.gauge.stitch_width().value / 10) {}

    FlatPoint moved(FlatPoint p) const {
        if (amount_ == 0) return p;
        return p + (noise(p, 4.5, 0) * kSway + noise(p, 5 * stitch_, 1) * (kWander * stitch_) +
                    noise(p, 1.4 * stitch_, 2) * (kStray * stitch_)) *
                       amount_;
    }

private:
    FlatPoint knot(std::int64_t x, std::int64_t y, std::int64_t size) const {
        return {2 * hashed_unit(seed_, x, y, 2 * size) - 1, 2 * hashed_unit(seed_, x, y, 2 * size + 1) - 1};
    }
    FlatPoint noise(FlatPoint p, double wide, std::int64_t size) const {
        const double x = std::floor(p.x / wide);
        const double y = std::floor(p.y / wide);
        const double u = eased(p.x / wide - x);
        const double v = eased(p.y / wide - y);
        const auto column = static_cast<std::int64_t>(x);
        const auto row = static_cast<std::int64_t>(y);
        return between(between(knot(column, row, size), knot(column + 1, row, size), u),
                       between(knot(column, row + 1, size), knot(column + 1, row + 1, size), u), v);
    }

    std::uint64_t seed_;
    double amount_, stitch_;
};

/// Colours along the yarn of each stitch from its left to its right as its V stands upright; none where it was not
/// knitted.
class StitchColours {
public:
    using Places = std::array<LinearRgb, Cloth::kPlaces>;

    StitchColours(const Fabric& fabric, const ColourRun& run, const std::vector<FlatStitch>& stitches)
        : colours_(stitches.size()), knitted_(stitches.size(), 0) {
        const double yarn = fabric.yarn_per_stitch.value;
        for (std::size_t s = 0; s < stitches.size(); ++s) {
            const FlatStitch& stitch = stitches[s];
            if (stitch.round >= fabric.rounds.size()) continue;
            const FabricRound& round = fabric.rounds[stitch.round];
            const std::size_t i = round.first + static_cast<std::size_t>(stitch.stitch);
            if (i >= round.end) continue;
            knitted_[s] = 1;
            const bool rightward = round.round.runs == Runs::back;
            for (int p = 0; p < Cloth::kPlaces; ++p) {
                const int along = rightward ? p : Cloth::kPlaces - 1 - p;
                const double from = (static_cast<double>(i) + static_cast<double>(along) / Cloth::kPlaces) * yarn;
                colours_[s][static_cast<std::size_t>(p)] = run.mean(from, from + yarn / Cloth::kPlaces);
            }
        }
    }
    bool knitted(std::size_t stitch) const { return knitted_[stitch] != 0; }
    const LinearRgb* of(std::size_t stitch) const { return colours_[stitch].data(); }

private:
    std::vector<Places> colours_;
    std::vector<std::uint8_t> knitted_;
};

/// Stamps of knit and purl stitches for light from every direction, since stitches lie every way up.
class Stamps {
public:
    Stamps(const LoopShape& shape, double pixels_per_stitch) {
        const LoopCell cell(shape, 1, 0);
        const int columns = std::clamp(static_cast<int>(std::lround(pixels_per_stitch * 5)), 24, 72);
        const int rows = std::max(8, static_cast<int>(std::lround(columns / shape.proportions().wale_per_course)));
        for (const Side side : {Side::face, Side::back}) {
            const StampSights sights(cell, side, rows, columns);
            for (int i = 0; i < kLamps; ++i) {
                const double turn = 2 * std::numbers::pi * i / kLamps;
                const LoopVector lamp{kLamp.x * std::cos(turn) + kLamp.y * std::sin(turn),
                                      kLamp.y * std::cos(turn) - kLamp.x * std::sin(turn), kLamp.z};
                stamps_.push_back(sights.lit(lamp, relief_at(pixels_per_stitch)));
            }
        }
    }
    const Stamp& of(const FlatStitch& stitch) const {
        const FlatPoint up = stitch.at(0.5, 0) - stitch.at(0.5, 1);
        // Angle by which the stitch is turned to the left out of upright.
        const double turn = std::atan2(-up.x, -up.y) / (2 * std::numbers::pi);
        const int lamp = static_cast<int>(std::lround((turn + 1) * kLamps)) % kLamps;
        const int index = lamp + (stitch.purl() ? kLamps : 0);
        return stamps_[static_cast<std::size_t>(index)];
    }

private:
    std::vector<Stamp> stamps_;
};

/// Light across a rib: its knit stitches stand forward and turn to the lamp, its purl ones lie in the shade.
double rib_shade(const FlatStitch& stitch, double right) {
    if (stitch.in_rib < 0) return 1;
    const double across = (stitch.in_rib % 2 + 1 - right) - 1;  // -1 at the rib's right, 1 at its left
    if (stitch.purl()) return kPurlShade + 0.10 * across * across;
    return kKnitInRibShade - 0.13 * across * across;
}

struct Size {
    double pixels_per_cm = 0;
    int width = 0, height = 0;
    FlatPoint corner;  // cm at the picture's top left
};

Size picture_size(const std::vector<FlatStitch>& stitches, const LaidFlatLook& look) {
    const auto [least, most] = bounds(stitches);
    Size size;
    const FlatPoint extent = most - least + FlatPoint{2 * kMargin, 2 * kMargin};
    size.pixels_per_cm = std::min(look.pixels_per_cm, std::sqrt(look.most_megapixels * 1e6 / (extent.x * extent.y)));
    size.width = std::max(1, static_cast<int>(std::ceil(extent.x * size.pixels_per_cm)));
    size.height = std::max(1, static_cast<int>(std::ceil(extent.y * size.pixels_per_cm)));
    size.corner = least - FlatPoint{kMargin, kMargin};
    return size;
}

/// A place within a stitch (right and down, 0..1) and how it changes from pixel to pixel.
struct SpotWithin {
    FlatPoint place, over_x, over_y;
};

/// Finds pixels within a stitch that is a quadrilateral: the inverse of bilinear interpolation, by Newton's method.
class StitchInverse {
public:
    explicit StitchInverse(const FlatStitch& stitch)
        : corner_(stitch.top_left),
          across_(stitch.top_right - stitch.top_left),
          down_(stitch.bottom_left - stitch.top_left),
          skew_(stitch.bottom_right - stitch.top_right - down_) {}

    /// Nothing where the stitch folds over beyond its edges.
    std::optional<SpotWithin> at(FlatPoint pixel) const {
        constexpr double kFlat = 1e-6;  // square pixels
        const FlatPoint target = pixel - corner_;
        FlatPoint place{0.5, 0.5};
        FlatPoint along_u, along_v;
        double area = 0;
        for (int step = 0; step < 3; ++step) {
            along_u = across_ + skew_ * place.y;
            along_v = down_ + skew_ * place.x;
            area = cross(along_u, along_v);
            if (area <= kFlat) return std::nullopt;
            const FlatPoint miss = target - (across_ * place.x + down_ * place.y + skew_ * (place.x * place.y));
            place = {std::clamp(place.x + cross(miss, along_v) / area, -2.0, 3.0),
                     std::clamp(place.y + cross(along_u, miss) / area, -2.0, 3.0)};
        }
        return SpotWithin{place, {along_v.y / area, -along_u.y / area}, {-along_v.x / area, along_u.x / area}};
    }

private:
    FlatPoint corner_, across_, down_, skew_;
};

/// Draws stitches into a picture: every pixel the sum of lines of sight that fall into stitches.
class StitchPainter {
public:
    /// @param across  lines of sight across a pixel
    StitchPainter(const std::vector<FlatStitch>& stitches, const StitchColours& colours, const Stamps& stamps,
                  int across)
        : stitches_(stitches), colours_(colours), stamps_(stamps), neighbours_(stitches), across_(across) {}

    void paint(TableCloth& table) const {
        const int half = table.light.rows() / 2;
        both([&] { paint_rows(table, 0, half); }, [&] { paint_rows(table, half, table.light.rows()); });
    }

private:
    struct Looks {
        const FlatStitch* stitch = nullptr;
        const Stamp* stamp = nullptr;            // nothing: planned, not knitted
        std::array<const LinearRgb*, 9> yarn{};  // of the stitches around, from the upper left
    };
    struct Pixel {
        int x, y;
    };
    static std::size_t around(int right, int up) {
        const int index = (1 - up) * 3 + right + 1;
        return static_cast<std::size_t>(index);
    }

    void paint_rows(TableCloth& table, int from, int to) const {
        for (std::size_t s = 0; s < stitches_.size(); ++s) paint_stitch(table, s, from, to);
    }

    Looks looks(std::size_t s) const {
        Looks out{&stitches_[s], nullptr, {}};
        if (!colours_.knitted(s)) return out;
        out.stamp = &stamps_.of(stitches_[s]);
        for (int up = 1; up >= -1; --up)
            for (int right = -1; right <= 1; ++right) {
                // At an edge the neighbour's yarn is this stitch's own.
                const int near = neighbours_.beside(s, right, up);
                const std::size_t owner =
                    near >= 0 && colours_.knitted(static_cast<std::size_t>(near)) ? static_cast<std::size_t>(near) : s;
                out.yarn[around(right, up)] = colours_.of(owner);
            }
        return out;
    }

    void paint_stitch(TableCloth& table, std::size_t s, int from, int to) const {
        const auto [least, most] = stitches_[s].bounds();
        const int y_from = std::max(from, static_cast<int>(std::floor(least.y)) - 1);
        const int y_to = std::min(to, static_cast<int>(std::ceil(most.y)) + 1);
        if (y_from >= y_to) return;
        const int x_from = std::max(0, static_cast<int>(std::floor(least.x)) - 1);
        const int x_to = std::min(table.light.columns(), static_cast<int>(std::ceil(most.x)) + 1);
        const Looks look = looks(s);
        const StitchInverse inverse(stitches_[s]);
        for (int y = y_from; y < y_to; ++y)
            for (int x = x_from; x < x_to; ++x)
                if (const auto spot = inverse.at({x + 0.5, y + 0.5})) add_pixel(table, {x, y}, *spot, look);
    }

    void add_pixel(TableCloth& table, Pixel pixel, const SpotWithin& spot, const Looks& look) const {
        const auto& [place, over_x, over_y] = spot;
        const FlatPoint reach{0.5 * (std::abs(over_x.x) + std::abs(over_y.x)) + kOverlap,
                              0.5 * (std::abs(over_x.y) + std::abs(over_y.y)) + kOverlap};
        if (std::abs(place.x - 0.5) > 0.5 + reach.x || std::abs(place.y - 0.5) > 0.5 + reach.y) return;
        LinearRgb sum;
        int hits = 0;
        const double part = 1.0 / across_;
        for (int j = 0; j < across_; ++j)
            for (int i = 0; i < across_; ++i) {
                const double dx = (i + 0.5) * part - 0.5;
                const double dy = (j + 0.5) * part - 0.5;
                const double u = place.x + over_x.x * dx + over_y.x * dy;
                const double v = place.y + over_x.y * dx + over_y.y * dy;
                if (std::abs(u - 0.5) > 0.5 + kOverlap || std::abs(v - 0.5) > 0.5 + kOverlap) continue;
                ++hits;
                if (look.stamp != nullptr) sum += sight(look, u, v);
            }
        if (hits == 0) return;
        table.light(pixel.y, pixel.x) += sum * rib_shade(*look.stitch, std::clamp(place.x, 0.0, 1.0));
        std::uint16_t& met = (look.stamp != nullptr ? table.knitted : table.planned)(pixel.y, pixel.x);
        met = static_cast<std::uint16_t>(met + hits);
    }

    static LinearRgb sight(const Looks& look, double u, double v) {
        const Stamp& stamp = *look.stamp;
        const StampPoint& point = stamp(std::clamp(static_cast<int>(v * stamp.rows()), 0, stamp.rows() - 1),
                                        std::clamp(static_cast<int>(u * stamp.columns()), 0, stamp.columns() - 1));
        const int right = std::clamp<int>(point.right, -1, 1);
        const int up = std::clamp<int>(point.up, -1, 1);
        const LinearRgb* colour = look.yarn[around(right, up)] + point.place;
        return mixed(colour[0], colour[1], static_cast<double>(point.toward_next)) * static_cast<double>(point.shade);
    }

    const std::vector<FlatStitch>& stitches_;
    const StitchColours& colours_;
    const Stamps& stamps_;
    Neighbours neighbours_;
    int across_;
};

/// The stitch that holds the strand's end, or the one in front of it.
struct StrandEnd {
    FlatPoint place;
    bool behind = false;
};
StrandEnd strand_end(const Fabric& fabric, const FlatMesh& mesh) {
    const auto last = static_cast<std::size_t>(std::find_if(fabric.rounds.rbegin(), fabric.rounds.rend(),
                                                            [](const FabricRound& r) { return r.end > r.first; }) -
                                               fabric.rounds.rbegin());
    const std::size_t r = fabric.rounds.size() - 1 - last;
    const Round& round = fabric.rounds[r].round;
    const int stitch = static_cast<int>(fabric.rounds[r].end - fabric.rounds[r].first) - 1;
    const int column = static_cast<int>(column_of(round, stitch));
    const int across = std::max(1, round.columns_across);
    const int in_front = ((2 * mesh.folds[r] - 1 - column) % across + across) % across;
    StrandEnd end{mesh.round_middles[r], true};
    for (const FlatStitch& seen : mesh.stitches) {
        if (seen.round != r) continue;
        if (seen.stitch == stitch) return {seen.at(round.runs == Runs::on ? 0 : 1, 0.5), false};
        if (static_cast<int>(column_of(round, seen.stitch)) == in_front) end.place = seen.at(0.5, 0.5);
    }
    return end;
}

LaidFlat::Point point(FlatPoint p) {
    return {p.x, p.y};
}

/// All but the picture.
LaidFlat labels(const Fabric& fabric, const FlatMesh& mesh) {
    LaidFlat out;
    out.first_round = point(mesh.first_round);
    out.last_round = fabric.rounds.empty() ? out.first_round : point(mesh.round_middles[fabric.rounds.size() - 1]);
    if (mesh.heel) out.heel = point(*mesh.heel);
    if (mesh.toe) out.toe = point(*mesh.toe);
    if (mesh.cuff) out.cuff = point(*mesh.cuff);
    if (!fabric.ran_out()) return out;
    const StrandEnd end = fabric.stitches.empty() ? StrandEnd{mesh.first_round, false} : strand_end(fabric, mesh);
    out.yarn_end = point(end.place);
    out.yarn_end_behind = end.behind;
    return out;
}

}  // namespace

LaidFlatSize laid_flat_size(const Garment& garment, const Gauge& gauge) {
    const auto [least, most] = bounds(flat_mesh(garment, gauge).stitches);
    return {{10 * (most.x - least.x)}, {10 * (most.y - least.y)}};
}

LaidFlat laid_flat(const Fabric& fabric, const ColourRun& run, const Garment& garment, const LoopShape& shape,
                   const LaidFlatLook& look) {
    require(look.pixels_per_cm > 0 && look.most_megapixels > 0, "a picture has a size");
    require(fabric.rounds.size() <= garment.rounds.size(), "the fabric is of this garment");
    const Liveliness liveliness(look);
    const FlatMesh lively = moved(flat_mesh(garment, look.gauge), [&](FlatPoint p) { return liveliness.moved(p); });
    const Size size = picture_size(lively.stitches, look);
    const FlatMesh mesh = moved(lively, [&](FlatPoint p) { return (p - size.corner) * size.pixels_per_cm; });

    LaidFlat out = labels(fabric, mesh);
    out.pixels_per_cm = size.pixels_per_cm;
    const double pixels_per_stitch = size.pixels_per_cm * look.gauge.stitch_width().value / 10;
    const int across = std::clamp(static_cast<int>(std::ceil(30 / pixels_per_stitch)), 3, 8);
    const StitchColours colours(fabric, run, mesh.stitches);
    const Stamps stamps(shape, pixels_per_stitch);
    TableCloth table(size.height, size.width, across * across);
    StitchPainter(mesh.stitches, colours, stamps, across).paint(table);
    out.picture = on_table(std::move(table), {look.paper, size.pixels_per_cm});
    return out;
}

}  // namespace loopread
