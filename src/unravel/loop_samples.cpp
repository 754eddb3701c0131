#include "loopread/unravel/loop_samples.h"

namespace loopread {

LoopSamples loop_samples(const LoopShape& shape) {
    constexpr double kHalfSinker =
        kArcShare / 2;  // places count from mid sinker, a loop's yarn from the arc's beginning
    LoopSamples samples;
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

std::array<Piece, 4> loop_pieces(const BlankLayout& layout, const LoopPlace& place, std::size_t loop) {
    const double loop_mm = layout.loop_length.value;
    const double start = static_cast<double>(loop) * loop_mm;
    std::array<Piece, 4> pieces;
    double begin = 0;
    for (std::size_t part = 0; part < 4; ++part) {
        const double from = start + begin * loop_mm;
        begin += kPartShare[part];
        const double end = part == 3 ? static_cast<double>(loop + 1) * loop_mm : start + begin * loop_mm;
        pieces[part] = {from, end - from, place.course, place.wale, static_cast<Part>(part), {}};
    }
    return pieces;
}

SeenShares seen_shares(const BlankLayout& layout, const CellShares& shares, SidesKnown known, const LoopPlace& loop,
                       int strand, double place, double angle) {
    // The place needs no mirroring where the yarn runs against the frame: the loop is its own mirror image.
    const double own_angle = frame_angle(layout, loop.travel, angle);
    const Side towards_paint = layout.painted == Painted::face ? Side::face : Side::back;
    const double toward = shares.share(towards_paint, strand, place, own_angle);
    if (layout.construction == Construction::tube)
        return loop.layer == Layer::painted ? SeenShares{toward, 0} : SeenShares{0, toward};
    if (known == SidesKnown::painted) return {toward, 0};
    const Side away = layout.painted == Painted::face ? Side::back : Side::face;
    return {toward, shares.share(away, strand, place, own_angle)};
}

}  // namespace loopread
