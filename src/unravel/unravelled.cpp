#include "loopread/unravel/unravelled.h"

#include <algorithm>
#include <array>
#include <numeric>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/unravel/loop_samples.h"

namespace loopread {
namespace {

/// Reads the paint at the places of one loop after another.
class LoopReader {
public:
    LoopReader(const BlankLayout& layout, const Paint& paint, const LoopShape& shape, const CellShares& shares,
               const WindingOptions& winding)
        : layout_(layout),
          paint_(paint),
          shares_(shares),
          samples_(loop_samples(shape)),
          winding_(winding, layout.strand_length()) {
        require(shares.strands() == layout.strands, "the shares are those of the blank's strands");
    }

    using PartColours = std::array<std::array<LinearRgb, 2>, 4>;  // [part][strand]

    /// @param start_mm  along the strand, where the loop's yarn begins
    PartColours colours(const LoopPlace& loop, double start_mm) const {
        const double wale_mm = layout_.wale_spacing.value;
        const double x = (loop.column + 0.5) * wale_mm;
        const double y = (loop.course + 0.5) * layout_.course_spacing.value;
        const double ahead = loop.travel == Travel::right ? wale_mm : -wale_mm;
        const SidesKnown known = paint_.other_side ? SidesKnown::both : SidesKnown::painted;
        PartColours out{};
        for (std::size_t k = 0; k < samples_.size(); ++k) {
            const LoopSample& sample = samples_[k];
            const double angle =
                layout_.strands == 1 ? 0.0 : winding_.angle(start_mm + sample.along * layout_.loop_length.value);
            for (int s = 0; s < layout_.strands; ++s)
                out[k / kSamplesPerPart][static_cast<std::size_t>(s)] +=
                    (1.0 / kSamplesPerPart) *
                    yarn_colour(paint_, x + ahead * sample.ahead, y - wale_mm * sample.raised,
                                seen_shares(layout_, shares_, known, loop, s, sample.place, angle));
        }
        return out;
    }

private:
    const BlankLayout& layout_;
    const Paint& paint_;
    const CellShares& shares_;
    LoopSamples samples_;
    Winding winding_;
};

double colour_difference(LinearRgb a, LinearRgb b) {
    return a == b ? 0.0 : delta_e_2000(lab_from_linear(a), lab_from_linear(b));
}

PairDifference summed_up(std::vector<double>& differences) {
    const double sum = std::accumulate(differences.begin(), differences.end(), 0.0);
    const auto at95 =
        differences.begin() + static_cast<std::ptrdiff_t>(0.95 * static_cast<double>(differences.size() - 1));
    std::nth_element(differences.begin(), at95, differences.end());
    return {sum / static_cast<double>(differences.size()), *at95};
}

}  // namespace

std::vector<ColourRun> unravelled(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                                  const CellShares& shares, const WindingOptions& winding) {
    const LoopReader reader(layout, paint, shape, shares, winding);
    const std::vector<LoopPlace> order = ravel_order(layout);
    const double loop_mm = layout.loop_length.value;
    const auto strands = static_cast<std::size_t>(layout.strands);
    std::vector<std::vector<Piece>> pieces(strands, std::vector<Piece>(order.size() * 4));
    const auto read_loops = [&](std::size_t first, std::size_t last) {
        for (std::size_t i = first; i < last; ++i) {
            const double start = static_cast<double>(i) * loop_mm;
            const LoopReader::PartColours colours = reader.colours(order[i], start);
            const std::array<Piece, 4> parts = loop_pieces(layout, order[i], i);
            for (std::size_t s = 0; s < strands; ++s)
                for (std::size_t part = 0; part < 4; ++part) {
                    Piece& piece = pieces[s][4 * i + part] = parts[part];
                    piece.colour = colours[part][s];
                }
        }
    };
    const std::size_t half = order.size() / 2;
    both([&] { read_loops(0, half); }, [&] { read_loops(half, order.size()); });
    std::vector<ColourRun> runs;
    runs.reserve(strands);
    for (auto& strand : pieces) runs.emplace_back(std::move(strand));
    return runs;
}

PairDifference pair_difference(const ColourRun& a, const ColourRun& b) {
    require(a.pieces().size() == b.pieces().size() && !a.empty(), "the strands came off one blank");
    std::vector<double> differences;
    differences.reserve(a.pieces().size());
    for (std::size_t i = 0; i < a.pieces().size(); ++i)
        differences.push_back(colour_difference(a.pieces()[i].colour, b.pieces()[i].colour));
    return summed_up(differences);
}

PairDifference pair_difference(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                               const CellShares& shares, const WindingOptions& winding, int course_step) {
    require(layout.strands == 2 && course_step > 0, "two strands differ, on some courses");
    const LoopReader reader(layout, paint, shape, shares, winding);
    const std::vector<LoopPlace> order = ravel_order(layout);
    std::vector<double> differences;
    for (std::size_t i = 0; i < order.size(); ++i) {
        if (order[i].course % course_step != 0) continue;
        for (const auto& part : reader.colours(order[i], static_cast<double>(i) * layout.loop_length.value))
            differences.push_back(colour_difference(part[0], part[1]));
    }
    return summed_up(differences);
}

}  // namespace loopread
