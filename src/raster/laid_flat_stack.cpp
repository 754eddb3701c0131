#include <algorithm>
#include <cmath>

#include "raster/laid_flat_mesh.h"

namespace loopread {
namespace {

constexpr double kHatRibDrawsIn = 0.93;  // width of ribbing to plain fabric, laid flat; chosen by eye
constexpr double kWidthSmoothing = 2;    // rounds over which the outline turns; chosen by eye
constexpr double kCrownFullness = 0.75;  // 0: as wide as its stitches; 1: a dome; chosen by eye
constexpr double kCrownRise = 0.02;      // of its half width: how far the middle of a crown's last round rises

int columns_seen(const Round& round) {
    return round.worked == Worked::in_the_round ? (round.stitches + 1) / 2 : round.stitches;
}

/// Rounds or rows one above the other, as lines between them; line 0 at the bottom.
class Stack {
public:
    Stack(const Garment& garment, const Gauge& gauge)
        : row_(gauge.row_height().value / 10), ribs_(rib_strengths(garment.rounds)) {
        const double stitch = gauge.stitch_width().value / 10;
        const std::vector<Round>& rounds = garment.rounds;
        std::vector<double> widths;
        for (std::size_t line = 0; line <= rounds.size(); ++line) {
            const Round& below = rounds[line == 0 ? 0 : line - 1];
            const Round& above = rounds[std::min(line, rounds.size() - 1)];
            const double columns = 0.5 * (columns_seen(below) + columns_seen(above));
            widths.push_back(columns * stitch * (1 - (1 - kHatRibDrawsIn) * ribs_[line]));
        }
        const auto crown = std::find_if(rounds.begin(), rounds.end(),
                                        [](const Round& round) { return round.section == Section::crown; });
        crown_from_ = static_cast<std::size_t>(crown - rounds.begin());
        round_ = rounds.front().worked == Worked::in_the_round;
        lines_ = widths.size();
        // Knitting worked flat keeps its corners: only a tube has a side that turns softly.
        widths_ = widths;
        round_crown();
        if (round_) widths_ = smoothed(widths_, kWidthSmoothing);
    }

    /// From right to left.
    FlatLine line(std::size_t index) const {
        const double half = widths_[index] / 2;
        const double y = -static_cast<double>(index) * row_;
        if (index <= crown_from_) return straight_line({half, y}, {-half, y});
        const double along = static_cast<double>(index - crown_from_) / static_cast<double>(lines_ - 1 - crown_from_);
        const double rise = kCrownRise * widths_[crown_from_] / 2 * along * along;
        FlatLine bent;
        for (int i = 0; i <= kBentLineSamples; ++i) {
            const double across = 1 - 2.0 * i / kBentLineSamples;
            bent.push_back({half * across, y - rise * (1 - across * across)});
        }
        return bent;
    }
    double rib(std::size_t index) const { return ribs_[index]; }

private:
    /// Drawn together at its top, a crown lies rounder than its stitches are wide.
    void round_crown() {
        if (crown_from_ + 1 >= lines_) return;
        const double base = widths_[crown_from_];
        const double tip = widths_.back();
        for (std::size_t line = crown_from_; line < lines_; ++line) {
            const double along =
                static_cast<double>(line - crown_from_) / static_cast<double>(lines_ - 1 - crown_from_);
            const double full = tip + (base - tip) * std::pow(1 - std::pow(along, 1.9), 0.66);
            widths_[line] += kCrownFullness * std::max(0.0, full - widths_[line]);
        }
    }

    double row_;
    std::vector<double> ribs_, widths_;
    std::size_t lines_ = 0, crown_from_ = 0;
    bool round_ = true;
};

}  // namespace

FlatMesh stacked_mesh(const Garment& garment, const Gauge& gauge) {
    const Stack stack(garment, gauge);
    FlatMesh mesh;
    for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
        const Round& round = garment.rounds[r];
        FlatPiece piece;
        piece.round = r;
        piece.begin = stack.line(r);
        piece.end = stack.line(r + 1);
        piece.rib_begin = stack.rib(r);
        piece.rib_end = stack.rib(r + 1);
        const int seen = columns_seen(round);
        for (int column = 0; column < seen; ++column)
            piece.stitches.push_back(round.runs == Runs::on ? column : round.stitches - 1 - column);
        add_piece(mesh, piece, garment);
        mesh.round_middles.push_back(at(piece.end, 0.5));
        mesh.folds.push_back(0);
    }
    mesh.first_round = at(stack.line(0), 0.5);
    return mesh;
}

}  // namespace loopread
