#include "loopread/contrast/knitted.h"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "loopread/base/require.h"
#include "loopread/fabric/fabric.h"
#include "loopread/unravel/loop_samples.h"
#include "loopread/unravel/order.h"

namespace loopread {
namespace {

constexpr double kWhole = 1 - 1e-9;  // rounding of lengths
constexpr double kMost = 0.5;

/// Which patch each sixteenth of a loop lies in, loop by loop as they come off.
class LoopOwners {
public:
    LoopOwners(const KnittedBlank& blank, const Patches& patches, const BlankRaster& raster)
        : samples_(loop_samples(blank.shape)), owners_(ravel_order(blank.layout).size()) {
        const std::vector<LoopPlace> order = ravel_order(blank.layout);
        const double wale = blank.layout.wale_spacing.value, course = blank.layout.course_spacing.value;
        for (std::size_t i = 0; i < order.size(); ++i)
            for (std::size_t k = 0; k < samples_.size(); ++k) {
                const double ahead = order[i].travel == Travel::right ? wale : -wale;
                const double x = (order[i].column + 0.5) * wale + ahead * samples_[k].ahead;
                const double y = (order[i].course + 0.5) * course - wale * samples_[k].raised;
                const int row = std::clamp(static_cast<int>(y / raster.mm_per_row), 0, raster.rows - 1);
                const int column = std::clamp(static_cast<int>(x / raster.mm_per_column), 0, raster.columns - 1);
                owners_[i][k] = patches.owner(row, column);
            }
        for (const LoopPlace& loop : order)
            places_.push_back(
                {std::min(static_cast<int>((loop.course + 0.5) * course / raster.mm_per_row), raster.rows - 1),
                 std::min(static_cast<int>((loop.column + 0.5) * wale / raster.mm_per_column), raster.columns - 1)});
    }

    /// The middle of the loop that a piece of yarn belongs to.
    PixelPlace place(std::size_t piece) const { return places_[piece / 4]; }

    /// Adds up how much of a piece of yarn lies in each patch.
    void add(std::vector<double>& lengths, std::size_t piece, double length) const {
        for (std::size_t k = 0; k < kSamplesPerPart; ++k)
            lengths[static_cast<std::size_t>(owners_[piece / 4][piece % 4 * kSamplesPerPart + k])] +=
                length / kSamplesPerPart;
    }

private:
    LoopSamples samples_;
    std::vector<std::array<int, 4 * kSamplesPerPart>> owners_;
    std::vector<PixelPlace> places_;
};

struct Tally {
    LinearRgb sum;
    int stitches = 0;

    void add(LinearRgb colour) {
        sum += colour;
        ++stitches;
    }
    LinearRgb mean() const { return sum * (1.0 / stitches); }
};

/// Squares of the blank that lie near a border.
class NearBorder {
public:
    NearBorder(const std::vector<BorderPoint>& points, const NeighbourPair& pair) {
        for (const BorderPoint& point : points)
            if (std::minmax(point.first, point.second) == std::minmax(pair.darker, pair.lighter))
                touched_.insert(square(point.place));
    }
    bool holds(PixelPlace place) const {
        const auto [row, column] = square(place);
        for (int r = row - kReach; r <= row + kReach; ++r) {
            const auto first = touched_.lower_bound({r, column - kReach});
            if (first != touched_.end() && *first <= std::pair{r, column + kReach}) return true;
        }
        return false;
    }

private:
    static constexpr int kSquare = 8;  // pixels: a stitch
    static constexpr int kReach = 3;
    static std::pair<int, int> square(PixelPlace place) { return {place.row / kSquare, place.column / kSquare}; }
    std::set<std::pair<int, int>> touched_;
};

/// Yarn of one stitch in each patch, in parts of it.
std::vector<double> patch_shares(const ColourRun& run, const LoopOwners& owners, std::size_t patches, double from,
                                 double to) {
    std::vector<double> lengths(patches, 0.0);
    const std::vector<Piece>& pieces = run.pieces();
    for (std::size_t i = run.piece_at(from); i < pieces.size() && pieces[i].start_mm < to; ++i) {
        const double begin = std::max(from, pieces[i].start_mm);
        const double end = std::min(to, pieces[i].start_mm + pieces[i].length_mm);
        if (end > begin) owners.add(lengths, i, end - begin);
    }
    for (double& length : lengths) length /= to - from;
    return lengths;
}

}  // namespace

std::vector<PatchStitch> patch_stitches(const KnittedBlank& blank, const Patches& patches, const BlankRaster& raster) {
    require(blank.yarn_per_stitch_mm > 0, "a stitch takes yarn");
    const LoopOwners owners(blank, patches, raster);
    std::vector<PatchStitch> stitches;
    const double stitch_mm = blank.yarn_per_stitch_mm;
    for (const ColourRun& run : blank.strands) {
        require(run.has_places(), "the yarn came off this blank");
        for (double from = 0; from + stitch_mm <= run.length_mm(); from += stitch_mm) {
            const std::vector<double> shares =
                patch_shares(run, owners, patches.colours.size(), from, from + stitch_mm);
            const auto largest = std::max_element(shares.begin(), shares.end());
            if (*largest <= kMost) continue;
            stitches.push_back({static_cast<std::size_t>(largest - shares.begin()), *largest,
                                stitch_colour(run, from, stitch_mm), owners.place(run.piece_at(from + stitch_mm / 2))});
        }
    }
    return stitches;
}

std::optional<KnittedPair> knitted_pair(const std::vector<PatchStitch>& stitches,
                                        const std::vector<BorderPoint>& points, const NeighbourPair& pair) {
    const NearBorder near(points, pair);
    std::array<Tally, 2> whole, most;
    for (const PatchStitch& stitch : stitches) {
        if ((stitch.patch != pair.darker && stitch.patch != pair.lighter) || !near.holds(stitch.place)) continue;
        const std::size_t side = stitch.patch == pair.darker ? 0 : 1;
        most[side].add(stitch.colour);
        if (stitch.share >= kWhole) whole[side].add(stitch.colour);
    }
    if (most[0].stitches == 0 || most[1].stitches == 0) return std::nullopt;
    const auto told = [&](std::size_t side) -> const Tally& {
        return whole[side].stitches > 0 ? whole[side] : most[side];
    };
    const bool all_whole = whole[0].stitches > 0 && whole[1].stitches > 0;
    return KnittedPair{told(0).mean(), told(1).mean(), told(0).stitches, told(1).stitches,
                       all_whole ? KnittedPair::Lies::whole : KnittedPair::Lies::most};
}

}  // namespace loopread
