#include "loopread/unravel/unravelled.h"

#include <algorithm>
#include <array>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"

namespace loopread {
namespace {

constexpr int kSamplesPerPart = 4;  // chosen: 16 a loop, where the paint raster has 8 pixels a stitch
constexpr std::array<double, 4> kPartShare{kArcShare, kLegShare, kArcShare, kLegShare};
constexpr double kHalfSinker = kArcShare / 2;  // places count from mid sinker, a loop's yarn from the arc's beginning

/// One place along the loop, the same for every loop that runs to the right.
struct LoopSample {
    double along = 0;   ///< share of the loop's yarn from its beginning
    double place = 0;   ///< from mid sinker
    double ahead = 0;   ///< in the direction of travel, wale spacings from the loop's middle
    double raised = 0;  ///< towards the ravel edge
};

std::array<LoopSample, 4 * kSamplesPerPart> loop_samples(const LoopShape& shape) {
    std::array<LoopSample, 4 * kSamplesPerPart> samples;
    double begin = 0;
    for (std::size_t part = 0; part < 4; ++part) {
        for (std::size_t i = 0; i < kSamplesPerPart; ++i) {
            LoopSample& sample = samples[part * kSamplesPerPart + i];
            sample.along = begin + kPartShare[part] * (static_cast<double>(i) + 0.5) / kSamplesPerPart;
            sample.place = sample.along - kHalfSinker;
            const LoopVector point = shape.point(shape.t_at(sample.place));
            sample.ahead = point.x;
            sample.raised = point.y;
        }
        begin += kPartShare[part];
    }
    return samples;
}

/// What the painted side and the other one show of a strand, at a place of a loop.
SeenShares seen_shares(const BlankLayout& layout, const LoopPlace& loop, const CellShares& shares, int strand, double place,
                       double angle) {
    // The place needs no mirroring where the yarn runs against the frame: the loop is its own mirror image.
    const double own_angle = frame_angle(layout, loop.travel, angle);
    const Side towards_paint = layout.painted == Painted::face ? Side::face : Side::back;
    const Side away = layout.painted == Painted::face ? Side::back : Side::face;
    const double toward = shares.share(towards_paint, strand, place, own_angle);
    if (layout.construction == Construction::flat) return {toward, shares.share(away, strand, place, own_angle)};
    return loop.layer == Layer::painted ? SeenShares{toward, 0} : SeenShares{0, toward};
}

}  // namespace

std::vector<ColourRun> unravelled(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                                  const CellShares& shares, const WindingOptions& winding_options) {
    require(shares.strands() == layout.strands, "the shares are those of the blank's strands");
    const std::vector<LoopPlace> order = ravel_order(layout);
    const auto samples = loop_samples(shape);
    const Winding winding(winding_options, layout.strand_length());
    const double loop_mm = layout.loop_length.value;
    const double wale_mm = layout.wale_spacing.value;
    const auto strands = static_cast<std::size_t>(layout.strands);
    std::vector<std::vector<Piece>> pieces(strands);
    for (auto& strand : pieces) strand.reserve(order.size() * 4);
    for (std::size_t i = 0; i < order.size(); ++i) {
        const LoopPlace& loop = order[i];
        const double start = static_cast<double>(i) * loop_mm;
        const double x = (loop.column + 0.5) * wale_mm;
        const double y = (loop.course + 0.5) * layout.course_spacing.value;
        const double ahead = loop.travel == Travel::right ? wale_mm : -wale_mm;
        double begin = 0;
        for (std::size_t part = 0; part < 4; ++part) {
            std::array<LinearRgb, 2> sum{};
            for (std::size_t k = part * kSamplesPerPart; k < (part + 1) * kSamplesPerPart; ++k) {
                const LoopSample& sample = samples[k];
                const double angle = layout.strands == 1 ? 0.0 : winding.angle(start + sample.along * loop_mm);
                for (std::size_t s = 0; s < strands; ++s)
                    sum[s] += yarn_colour(paint, x + ahead * sample.ahead, y - wale_mm * sample.raised,
                                          seen_shares(layout, loop, shares, static_cast<int>(s), sample.place, angle));
            }
            // The last part ends where the next loop begins, to the bit.
            const double end = part == 3 ? static_cast<double>(i + 1) * loop_mm : start + (begin + kPartShare[part]) * loop_mm;
            const double from = start + begin * loop_mm;
            for (std::size_t s = 0; s < strands; ++s)
                pieces[s].push_back({from, end - from, loop.course, loop.wale, static_cast<Part>(part), sum[s] * (1.0 / kSamplesPerPart)});
            begin += kPartShare[part];
        }
    }
    std::vector<ColourRun> runs;
    for (auto& strand : pieces) runs.emplace_back(std::move(strand));
    return runs;
}

PairDifference pair_difference(const ColourRun& a, const ColourRun& b) {
    require(a.pieces().size() == b.pieces().size() && !a.empty(), "the strands came off one blank");
    std::vector<double> differences;
    differences.reserve(a.pieces().size());
    double sum = 0;
    for (std::size_t i = 0; i < a.pieces().size(); ++i) {
        const LinearRgb one = a.pieces()[i].colour;
        const LinearRgb other = b.pieces()[i].colour;
        const double difference = one == other ? 0.0 : delta_e_2000(lab_from_linear(one), lab_from_linear(other));
        differences.push_back(difference);
        sum += difference;
    }
    const auto at95 = differences.begin() + static_cast<std::ptrdiff_t>(0.95 * static_cast<double>(differences.size() - 1));
    std::nth_element(differences.begin(), at95, differences.end());
    return {sum / static_cast<double>(a.pieces().size()), *at95};
}

}  // namespace loopread
