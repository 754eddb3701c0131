#include <algorithm>
#include <cmath>
#include <vector>

#include "loopread/shape/sock.h"
#include "raster/laid_flat_mesh.h"
#include "raster/laid_flat_sock_lines.h"
#include "raster/laid_flat_sock_rounds.h"

namespace loopread {
namespace {

constexpr double kFrontSmoothing = 5;  // rounds over which the instep turns the ankle; chosen by eye

/// Lines of the front from cuff to toe with the ankle's turn softened; the corner at the side stays.
std::vector<FlatLine> softened_fronts(const std::vector<FlatLine>& fronts, int heel) {
    constexpr int kReach = 3 * static_cast<int>(kFrontSmoothing);
    const auto count = static_cast<int>(fronts.size());
    std::vector<FlatLine> out = fronts;
    for (int line = std::max(0, heel - kReach); line <= std::min(count - 1, heel + kReach); ++line) {
        const double near = 1 - eased(static_cast<double>(std::abs(line - heel)) / kReach);
        // As far to either side, so that what is straight stays so, and its spacing too.
        const int reach = std::min({kReach, line, count - 1 - line});
        for (int i = 1; i <= kBentLineSamples; ++i) {
            const double bell = kFrontSmoothing * i / kBentLineSamples;
            FlatPoint sum;
            double weight = 0;
            for (int j = -reach; j <= reach; ++j) {
                const double w = std::exp(-0.5 * j * j / (bell * bell));
                const int beside = line + j;
                sum = sum + fronts[static_cast<std::size_t>(beside)][static_cast<std::size_t>(i)] * w;
                weight += w;
            }
            FlatPoint& point = out[static_cast<std::size_t>(line)][static_cast<std::size_t>(i)];
            point = between(point, sum * (1 / weight), near);
        }
    }
    return out;
}

/// Two lines, the one nearer the cuff first, and how ribs draw columns together on either.
struct Strip {
    FlatLine cuffward, toeward;
    double rib_cuffward = 0, rib_toeward = 0;
};

class SockLayout {
public:
    SockLayout(const Garment& garment, const Gauge& gauge)
        : garment_(garment),
          parts_(sock_rounds(garment)),
          stitch_(gauge.stitch_width().value / 10),
          row_(gauge.row_height().value / 10),
          half_(parts_.quarter() * stitch_),
          leg_(garment, parts_, half_, row_) {
        mesh_.round_middles.resize(garment.rounds.size());
        mesh_.folds.resize(garment.rounds.size());
    }

    FlatMesh mesh() {
        FootStart start;
        if (parts_.heel == Heel::flap)
            start = add_flap_heel();
        else
            start = add_wedge_heel();
        start.front = leg_.front(leg_.last());
        add_tubes(FootLines(garment_, parts_, start, stitch_, row_));
        return std::move(mesh_);
    }

private:
    bool downwards() const { return parts_.start == Start::cuff; }

    void add(std::size_t round, const Strip& strip, const std::vector<int>& stitches, int first_column) {
        if (stitches.empty()) return;
        FlatPiece piece;
        piece.round = round;
        piece.stitches = stitches;
        piece.first_column = first_column;
        piece.begin = downwards() ? strip.cuffward : turned_round(strip.toeward);
        piece.end = downwards() ? strip.toeward : turned_round(strip.cuffward);
        piece.rib_begin = downwards() ? strip.rib_cuffward : strip.rib_toeward;
        piece.rib_end = downwards() ? strip.rib_toeward : strip.rib_cuffward;
        mesh_.round_middles[round] = at(piece.end, 0.5);
        add_piece(mesh_, piece, garment_);
    }

    /// Stitches of a round from one column to another, in the order of columns.
    void add_columns(std::size_t index, int from, int to, const Strip& strip) {
        const Round& round = garment_.rounds[index];
        std::vector<int> stitches;
        for (int column = from; column < to; ++column)
            stitches.push_back((column - round.columns_from + round.stitches) % round.stitches);
        add(index, strip, stitches, from);
    }
    void add_back(std::size_t index, const Strip& strip) {
        const Round& round = garment_.rounds[index];
        const int seen = back_seen(round);
        add_columns(index, downwards() ? round.front_from - seen : 0, downwards() ? round.front_from : seen, strip);
    }
    void add_front(std::size_t index, const Strip& strip) {
        const Round& round = garment_.rounds[index];
        const int seen = front_seen(round);
        const int from = downwards() ? round.front_from : round.stitches - seen;
        add_columns(index, from, from + seen, strip);
        mesh_.folds[index] = downwards() ? back_seen(round) : round.stitches - seen;
        mesh_.round_middles[index] = (downwards() ? strip.toeward : strip.cuffward).front();
    }
    /// The half of a heel's row that lies towards us.
    void add_row(std::size_t index, const Strip& strip) {
        const Round& round = garment_.rounds[index];
        const double middle = 0.5 * round.front_from;
        std::vector<int> stitches;
        for (int i = 0; i < round.stitches; ++i) {
            const int stitch = round.runs == Runs::on ? i : round.stitches - 1 - i;
            if ((column_of(round, stitch) > middle) == downwards()) stitches.push_back(stitch);
        }
        mesh_.folds[index] = round.front_from / 2;
        add(index, strip, stitches, 0);
    }

    FootStart add_flap_heel() {
        const FlapLines lines(garment_, parts_, stitch_, row_, leg_.bend().back);
        const auto rows = static_cast<int>(parts_.flap.size());
        for (int i = 0; i < rows; ++i)
            add_row(parts_.flap[static_cast<std::size_t>(i)], {lines.flap(i), lines.flap(i + 1)});
        const auto turns = static_cast<int>(parts_.turn.size());
        for (int i = 0; i < turns; ++i)
            add_row(parts_.turn[static_cast<std::size_t>(i)], {lines.turn(i), lines.turn(i + 1)});
        mesh_.heel = lines.turn(turns / 3).front();
        return {lines.turn(turns), lines.edge(), {}};
    }

    FootStart add_wedge_heel() {
        const bool rows = parts_.heel == Heel::short_row;
        const auto all = static_cast<int>(parts_.heel_rows.size());
        const int lines = rows ? all / 2 : all;
        const Round& least = garment_.rounds[parts_.heel_rows[static_cast<std::size_t>(lines - 1)]];
        const WedgeLines wedge(half_, leg_.bend().back, lines, least.stitches * stitch_ / (rows ? 2 : 4));
        for (int i = 0; i < lines; ++i) {
            const Strip above{wedge.towards_leg(i), wedge.towards_leg(i + 1)};
            const Strip below{wedge.towards_sole(i + 1), wedge.towards_sole(i)};
            if (rows) {
                add_row(parts_.heel_rows[static_cast<std::size_t>(i)], above);
                add_row(parts_.heel_rows[static_cast<std::size_t>(all - 1 - i)], below);
            } else {
                add_afterthought_round(parts_.heel_rows[static_cast<std::size_t>(i)], above, below);
            }
        }
        mesh_.heel = wedge.tip();
        const FlatLine sole = wedge.towards_sole(0);
        const FlatPoint middle = at(sole, 0.5);
        return {{sole.front(), middle}, {middle, sole.back()}, {}};
    }

    /// Such a round is knitted from the opening inwards, whichever way the sock is: down the leg's side of the heel,
    /// back along the sole's.
    void add_afterthought_round(std::size_t index, const Strip& above, const Strip& below) {
        const Round& round = garment_.rounds[index];
        const int seen = front_seen(round);
        const auto piece = [&](FlatLine begin, FlatLine end, int from, int count) {
            FlatPiece part;
            part.round = index;
            part.begin = std::move(begin);
            part.end = std::move(end);
            part.first_column = from;
            for (int column = from; column < from + count; ++column)
                part.stitches.push_back((column - round.columns_from + round.stitches) % round.stitches);
            add_piece(mesh_, part, garment_);
        };
        piece(above.cuffward, above.toeward, round.stitches - seen, seen);
        piece(turned_round(below.toeward), turned_round(below.cuffward), 0, back_seen(round));
        mesh_.folds[index] = round.stitches - seen;
        mesh_.round_middles[index] = above.toeward.back();
    }

    /// Leg, gusset, foot and toe.
    void add_tubes(const FootLines& foot) {
        std::vector<FlatLine> fronts;
        for (int line = 0; line <= leg_.last(); ++line) fronts.push_back(leg_.front(line));
        for (int line = 1; line <= foot.last(); ++line) fronts.push_back(foot.front(line));
        fronts = softened_fronts(fronts, leg_.last());
        for (int i = 0; i < leg_.last(); ++i) {
            const std::size_t index = parts_.leg[static_cast<std::size_t>(i)];
            const auto line = static_cast<std::size_t>(i);
            add_back(index, {leg_.back(i), leg_.back(i + 1), leg_.rib(i), leg_.rib(i + 1)});
            add_front(index, {fronts[line], fronts[line + 1], leg_.rib(i), leg_.rib(i + 1)});
        }
        const auto gusset = static_cast<int>(parts_.gusset.size());
        for (int i = 0; i < foot.last(); ++i) {
            const int after_cuff = leg_.last() + i;
            const auto line = static_cast<std::size_t>(after_cuff);
            const std::size_t index = i < gusset ? parts_.gusset[static_cast<std::size_t>(i)]
                                                 : parts_.foot[static_cast<std::size_t>(i - gusset)];
            if (i < gusset)
                add_gusset(index, foot, i);
            else
                add_back(index, {foot.back(i), foot.back(i + 1)});
            add_front(index, {fronts[line], fronts[line + 1]});
        }
        if (parts_.first_gusset) add_first_gusset(foot);
        mesh_.cuff = leg_.point(0, 0);
        mesh_.toe = foot.back(foot.last()).back();
        mesh_.first_round = downwards() ? *mesh_.cuff : *mesh_.toe;
    }

    /// Sole and side of a round of the gusset. From below one more round lies between side and flap.
    void add_gusset(std::size_t index, const FootLines& foot, int band) {
        const Round& round = garment_.rounds[index];
        const int sole = heel_turn(2 * parts_.quarter()).stitches_after / 2;
        const int side = back_seen(round) - sole;
        const Strip sole_strip{foot.sole(band), foot.sole(band + 1)};
        const Strip side_strip{foot.side(side_line(band)), foot.side(side_line(band + 1))};
        if (downwards()) {
            add_columns(index, round.front_from / 2, round.front_from - side, sole_strip);
            add_columns(index, round.front_from - side, round.front_from, side_strip);
        } else {
            add_columns(index, 0, side, side_strip);
            add_columns(index, side, side + sole, sole_strip);
        }
    }
    void add_first_gusset(const FootLines& foot) {
        const std::size_t index = *parts_.first_gusset;
        add_columns(index, 0, garment_.rounds[index].stitches, {foot.side(0), foot.side(side_line(0))});
    }
    double side_line(int line) const {
        if (!parts_.first_gusset) return line;
        const auto gusset = static_cast<double>(parts_.gusset.size());
        return gusset * (line + 1) / (gusset + 1);
    }

    const Garment& garment_;
    SockRounds parts_;
    double stitch_, row_, half_;
    LegLines leg_;
    FlatMesh mesh_;
};

}  // namespace

bool is_sock(const Garment& garment) {
    return std::any_of(garment.rounds.begin(), garment.rounds.end(),
                       [](const Round& round) { return round.section == Section::toe; });
}

FlatMesh sock_mesh(const Garment& garment, const Gauge& gauge) {
    return SockLayout(garment, gauge).mesh();
}

}  // namespace loopread
