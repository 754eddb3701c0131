#include "table/strand_reader.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
StrandReader::StrandReader(const BlankLayout& layout, const LoopShape& shape, const CellShares& shares,
                           const WindingOptions& options)
    : layout_(layout), order_(ravel_order(layout)), samples_(loop_samples(shape)) {
    require(shares.strands() == layout.strands, "the shares are those of the blank's strands");
    const Winding winding(options, layout.strand_length());
    for (const LoopSample& sample : samples_) {
        reach_x_mm_ = std::max(reach_x_mm_, std::abs(sample.ahead) * layout.wale_spacing.value);
        reach_y_mm_ = std::max(reach_y_mm_, std::abs(sample.raised) * layout.wale_spacing.value);
    }
    const auto strands = static_cast<std::size_t>(layout.strands);
    seen_.reserve(order_.size() * kSamples * strands);
    for (std::size_t i = 0; i < order_.size(); ++i)
        for (std::size_t k = 0; k < kSamples; ++k) {
            const double start = static_cast<double>(i) * layout.loop_length.value;
            const double angle =
                layout.strands == 1 ? 0.0 : winding.angle(start + samples_[k].along * layout.loop_length.value);
            for (int s = 0; s < layout.strands; ++s)
                seen_.push_back(
                    seen_shares(layout_, shares, SidesKnown::painted, order_[i], s, samples_[k].place, angle));
        }
    for (std::size_t s = 0; s < strands; ++s) colours_[s].resize(order_.size());
    seen_side_.resize(order_.size());
}

void StrandReader::read(const Paint& paint) {
    for (std::size_t i = 0; i < order_.size(); ++i) read_loop(paint, i);
}

CourseRange StrandReader::reread(const Paint& paint, const RasterBox& box) {
    if (box.empty()) return {};
    const double wale = layout_.wale_spacing.value, course = layout_.course_spacing.value;
    // Between pixel middles two pixels are looked up: one more than the box on each side.
    const double left = (box.left - 1) * paint.raster.mm_per_column - reach_x_mm_;
    const double right = (box.right + 1) * paint.raster.mm_per_column + reach_x_mm_;
    const double top = (box.top - 1) * paint.raster.mm_per_row - reach_y_mm_;
    const double bottom = (box.bottom + 1) * paint.raster.mm_per_row + reach_y_mm_;
    const auto held = [](double value, int most) { return static_cast<int>(std::clamp(value, 0.0, most + 0.0)); };
    // At an edge the picture is held constant, so that loops beyond its border are looked up there.
    const CourseRange courses{
        box.top <= 1 ? 0 : held(std::floor(top / course - 0.5), layout_.rows),
        box.bottom + 1 >= paint.raster.rows ? layout_.rows : held(std::ceil(bottom / course + 0.5), layout_.rows)};
    const bool to_left = box.left <= 1, to_right = box.right + 1 >= paint.raster.columns;
    const auto stitches = static_cast<std::size_t>(layout_.stitches);
    for (std::size_t i = static_cast<std::size_t>(courses.first) * stitches;
         i < static_cast<std::size_t>(courses.end) * stitches; ++i) {
        const double middle = (order_[i].column + 0.5) * wale;
        if ((to_left || middle >= left) && (to_right || middle <= right)) read_loop(paint, i);
    }
    return courses;
}

void StrandReader::read_loop(const Paint& paint, std::size_t i) {
    const LoopPlace& loop = order_[i];
    const double wale = layout_.wale_spacing.value;
    const double x = (loop.column + 0.5) * wale;
    const double y = (loop.course + 0.5) * layout_.course_spacing.value;
    const double ahead = loop.travel == Travel::right ? wale : -wale;
    const auto strands = static_cast<std::size_t>(layout_.strands);
    const SeenShares* seen = seen_.data() + i * kSamples * strands;
    for (std::size_t part = 0; part < 4; ++part) {
        std::array<LinearRgb, 3> sum{};
        for (std::size_t k = part * kSamplesPerPart; k < (part + 1) * kSamplesPerPart; ++k) {
            const double px = x + ahead * samples_[k].ahead, py = y - wale * samples_[k].raised;
            for (std::size_t s = 0; s < strands; ++s)
                sum[s] += (1.0 / kSamplesPerPart) * yarn_colour(paint, px, py, seen[k * strands + s]);
            sum[2] += (1.0 / kSamplesPerPart) * yarn_colour(paint, px, py, {1, 0});
        }
        for (std::size_t s = 0; s < strands; ++s) colours_[s][i][part] = sum[s];
        seen_side_[i][part] = sum[2];
    }
}

ReadStrands StrandReader::read_strands() const {
    ReadStrands out;
    for (std::size_t s = 0; s < static_cast<std::size_t>(layout_.strands); ++s) out.strands.push_back(run(colours_[s]));
    out.seen_side = run(seen_side_);
    return out;
}

ColourRun StrandReader::run(const std::vector<Parts>& colours) const {
    std::vector<Piece> pieces;
    pieces.reserve(4 * order_.size());
    for (std::size_t i = 0; i < order_.size(); ++i) {
        std::size_t part = 0;
        for (Piece piece : loop_pieces(layout_, order_[i], i)) {
            piece.colour = colours[i][part++];
            pieces.push_back(piece);
        }
    }
    return ColourRun(std::move(pieces));
}

}  // namespace loopread
