#include "loopread/fabric/alternated.h"

#include <algorithm>
#include <vector>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kNoLengthMm = 1e-9;

/// Appends [from, to) of a run to pieces that end at `end`. @return where they end then
double append_part(std::vector<Piece>& pieces, double end, const ColourRun& run, double from, double to) {
    for (std::size_t i = run.piece_at(from); i < run.pieces().size() && run.pieces()[i].start_mm < to; ++i) {
        Piece piece = run.pieces()[i];
        const double left = std::max(from, piece.start_mm);
        const double right = std::min(to, piece.start_mm + piece.length_mm);
        if (right - left <= kNoLengthMm) continue;
        piece.start_mm = end;
        piece.length_mm = right - left;
        end += piece.length_mm;
        pieces.push_back(piece);
    }
    return end;
}

}  // namespace

ColourRun part_of(const ColourRun& run, double from_mm, double to_mm) {
    require(from_mm >= 0 && from_mm < to_mm && to_mm <= run.length_mm() + 1e-6, "a part lies within its run");
    std::vector<Piece> pieces;
    append_part(pieces, 0, run, from_mm, std::min(to_mm, run.length_mm()));
    return ColourRun(std::move(pieces));
}

TwoEnds near_and_far(const ColourRun& near_ball, const ColourRun& far_ball, int every) {
    return {part_of(near_ball, 0, near_ball.length_mm() / 2), part_of(far_ball.reversed(), 0, far_ball.length_mm() / 2),
            every};
}

ColourRun alternated(const TwoEnds& ends, const Garment& garment, Millimetres yarn_per_stitch) {
    require(yarn_per_stitch.value > 0 && ends.every > 0, "rounds take yarn and turns");
    std::vector<Piece> pieces;
    double end = 0;
    double used[2] = {0, 0};
    const ColourRun* runs[2] = {&ends.first, &ends.second};
    for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
        const std::size_t turn = r / static_cast<std::size_t>(ends.every) % 2;
        const double want = garment.rounds[r].stitches * yarn_per_stitch.value;
        const double have = runs[turn]->length_mm() - used[turn];
        const double taken = std::min(want, have);
        if (taken > kNoLengthMm) end = append_part(pieces, end, *runs[turn], used[turn], used[turn] + taken);
        used[turn] += taken;
        if (taken < want - 1e-6) break;
    }
    return ColourRun(std::move(pieces));
}

}  // namespace loopread
