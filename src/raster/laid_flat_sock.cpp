#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "loopread/shape/sock.h"
#include "raster/laid_flat_mesh.h"

// A sock on its side, seen from above: x from the back of the leg to its front, y from the cuff down, the middle of the
// heel line (where heel, leg, sole and instep meet at the side: the corner) at the origin. Lines run from the back (the
// fold at the middle of heel and sole) to the front. What is said about the cuff-down sock holds for the other one with
// its rounds in reverse.
//
// Leg, heel and foot have more angle between them at the corner than a table has: leg and foot are each a straight tube
// (180 degrees), and the heel adds its own. So the rounds next to the heel bend, and straighten out along leg and foot.

namespace loopread {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

// Chosen by eye, by what lies well.
constexpr int kLegBends = 34;                        // rounds over which the leg straightens
constexpr int kFootBends = 34;                       // plain rounds over which the foot does, gusset not counted
constexpr double kGathered = 0.42;                   // most of a round's height that bending takes away
constexpr double kFrontSmoothing = 5;                // rounds over which the instep turns the ankle
constexpr double kFlapDrawsIn = 0.87;                // height of a flap's row: slipped stitches hold it short
constexpr double kFlapRounding = 0.12;               // of its width: how far the foot of the flap's fold comes in
constexpr double kWedge = 92 * kDegree;              // that a short-row or an afterthought heel fills
constexpr double kTipBulge = 0.24;                   // of its width: how far such a heel reaches beyond a circle
constexpr double kIntoLeg = 0.40, kIntoSole = 0.37;  // slopes of such a heel's outline at its ends
constexpr double kToeFullness = 0.62;                // 0: as wide as its stitches; 1: an ellipse
constexpr double kToeRounding = 0.27;                // rise of the last line's middle over half its width
constexpr double kRibDrawsIn = 0.86, kRibbedLegDrawsIn = 0.94;

/// How far the lines at the heel are bent up out of the level, and how far below it the foot points.
struct Bend {
    double back = 0, front = 0, foot = 0;
};
Bend usual_bend(Heel heel) {
    if (heel == Heel::flap) return {6 * kDegree, 22 * kDegree, 26 * kDegree};
    return {16 * kDegree, 30 * kDegree, 31 * kDegree};
}

FlatPoint direction(double down_from_level) {
    return {std::cos(down_from_level), std::sin(down_from_level)};
}

/// The rounds of a sock in the order they lie, from the cuff to the toe.
struct SockRounds {
    Start start = Start::cuff;
    Heel heel = Heel::flap;
    int stitches = 0;  // of the leg
    std::vector<std::size_t> leg, flap, turn, gusset, foot, heel_rows;
    std::optional<std::size_t> first_gusset;  // from below: the round on one gusset only, at the flap's edge

    int quarter() const { return stitches / 4; }
};

bool is_heel_width(const Round& round) {
    return round.section == Section::heel_flap ||
           (round.section == Section::heel && round.worked != Worked::in_the_round);
}

SockRounds sock_rounds(const Garment& garment) {
    SockRounds parts;
    parts.start = garment.rounds.front().section == Section::toe ? Start::toe : Start::cuff;
    parts.heel = Heel::short_row;
    if (garment.waste_line) parts.heel = Heel::afterthought;
    for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
        const Round& round = garment.rounds[r];
        if (is_heel_width(round)) parts.stitches = 2 * round.front_from;
        if (round.section == Section::heel_flap) parts.heel = Heel::flap;
        if (round.section == Section::cuff || round.section == Section::leg)
            parts.leg.push_back(r);
        else if (round.section == Section::heel_flap)
            parts.flap.push_back(r);
        else if (round.section == Section::heel_turn)
            parts.turn.push_back(r);
        else if (round.section == Section::heel)
            parts.heel_rows.push_back(r);
        else if (round.section == Section::gusset && round.front_from == round.stitches)
            parts.first_gusset = r;
        else if (round.section == Section::gusset)
            parts.gusset.push_back(r);
        else
            parts.foot.push_back(r);
        if (parts.heel == Heel::afterthought && round.section != Section::heel)
            parts.stitches = std::max(parts.stitches, round.stitches);
    }
    if (parts.start == Start::toe)
        for (auto* list : {&parts.leg, &parts.flap, &parts.turn, &parts.gusset, &parts.foot})
            std::reverse(list->begin(), list->end());
    if (parts.start == Start::toe && parts.heel == Heel::short_row)
        std::reverse(parts.heel_rows.begin(), parts.heel_rows.end());
    return parts;
}

std::vector<Round> rounds_of(const Garment& garment, const std::vector<std::size_t>& indices) {
    std::vector<Round> rounds;
    for (const std::size_t index : indices) rounds.push_back(garment.rounds[index]);
    return rounds;
}

int back_seen(const Round& round) {
    return round.front_from / 2;
}
int front_seen(const Round& round) {
    return (round.stitches - round.front_from) / 2;
}

/// The leg, straight above and bent at the heel.
class LegLines {
public:
    LegLines(const Garment& garment, const SockRounds& parts, double half, double row)
        : half_(half), row_(row), last_(static_cast<int>(parts.leg.size())) {
        const std::vector<Round> rounds = rounds_of(garment, parts.leg);
        ribs_ = rib_strengths(rounds);
        std::vector<double> widths;
        for (std::size_t line = 0; line < ribs_.size(); ++line) {
            const bool cuff = !rounds.empty() && rounds[std::min(line, rounds.size() - 1)].section == Section::cuff;
            widths.push_back(1 - (1 - (cuff ? kRibDrawsIn : kRibbedLegDrawsIn)) * ribs_[line]);
        }
        widths_ = smoothed(widths, 4);
        bends_over_ = std::min(kLegBends, last_);
        // A short leg has no room to bend in.
        const double most = kGathered * bends_over_ * row_ / (1.5 * half_);
        bend_.back = std::asin(std::min(std::sin(usual_bend(parts.heel).back), most));
        bend_.front = std::asin(std::min(std::sin(usual_bend(parts.heel).front), most));
    }

    int last() const { return last_; }
    Bend bend() const { return bend_; }
    double rib(int line) const { return ribs_[static_cast<std::size_t>(line)]; }

    /// @param across  -1 at the back, 0 at the side, 1 at the front
    FlatPoint point(int line, double across) const {
        const int above_heel = last_ - line;
        const double bent = bends_over_ == 0 ? 1 : 1 - eased(static_cast<double>(above_heel) / bends_over_);
        const double width = widths_[static_cast<std::size_t>(line)] * (1 - bent) + bent;
        const double angle = across < 0 ? bend_.back : bend_.front;
        // Away from the heel the corner in the line softens.
        const double soft = 0.7 * (1 - bent) + 1e-9;
        const double up = std::sqrt(across * across + soft * soft) - soft;
        const FlatPoint straight{half_ * across * width, -above_heel * row_};
        return straight + FlatPoint{half_ * across * (std::cos(angle) - 1), -half_ * up * std::sin(angle)} * bent;
    }
    FlatLine back(int line) const { return sampled(line, -1, 0); }
    FlatLine front(int line) const { return sampled(line, 0, 1); }

private:
    FlatLine sampled(int line, double from, double to) const {
        FlatLine points;
        for (int i = 0; i <= kBentLineSamples; ++i)
            points.push_back(point(line, from + (to - from) * i / kBentLineSamples));
        return points;
    }

    double half_, row_;
    int last_, bends_over_ = 0;
    Bend bend_;
    std::vector<double> widths_, ribs_;
};

/// Where the foot begins: its first line in three stretches, each shared evenly by its stitches.
struct FootStart {
    FlatLine sole, side, front;
};

/// Flap and turned heel, rotated with the back of the leg.
class FlapLines {
public:
    FlapLines(const Garment& garment, const SockRounds& parts, double stitch, double row, double bend)
        : half_(parts.quarter() * stitch),
          depth_(static_cast<double>(parts.flap.size()) * row * kFlapDrawsIn),
          last_(heel_turn(2 * parts.quarter()).stitches_after * stitch / 2),
          bend_(bend),
          rows_(static_cast<double>(parts.flap.size())),
          turns_(static_cast<double>(parts.turn.size())) {
        const Round& next = garment.rounds[parts.turn.front()];
        const int seen = parts.start == Start::cuff ? next.columns_from + next.columns_across - parts.quarter()
                                                    : parts.quarter() - next.columns_from;
        first_ = stitch * std::max(2, seen);
    }

    FlatLine flap(int line) const {
        const double y = depth_ * line / rows_;
        return {turned({fold(y), y}), turned({0, y})};
    }
    /// Line 0 lies along the end of the flap, the last one is where the sole begins.
    FlatLine turn(int line) const {
        const double along = line / turns_;
        const double inner = (fold(depth_) + first_) * (1 - along);
        const double across = first_ + (last_ - first_) * along;
        constexpr double kUpright = 0.62;  // of the turn; chosen by eye, as the sine that takes the rows there
        const double angle = 90 * kDegree * std::sin(90 * kDegree * std::min(1.0, along / kUpright));
        const FlatPoint side{inner, depth_};
        return {turned(side + FlatPoint{-std::cos(angle), std::sin(angle)} * across), turned(side)};
    }
    FlatLine edge() const { return {turned({0, depth_}), turned({0, 0})}; }

private:
    /// x of the fold down the middle of the heel.
    double fold(double y) const {
        const double late = std::max(0.0, (y / depth_ - 0.5) / 0.5);
        return -half_ * (1 - kFlapRounding * late * late);
    }
    FlatPoint turned(FlatPoint p) const {
        const FlatPoint right = direction(bend_);
        return right * p.x + FlatPoint{-right.y, right.x} * p.y;
    }

    double half_, depth_, first_ = 0, last_, bend_, rows_, turns_;
};

/// A heel of lines that meet on a slant through its middle: of short rows, or of rounds that close an opening.
class WedgeLines {
public:
    /// @param lines  on either side of the slant
    /// @param tip    half of the stitches that are left at its end, as a width
    WedgeLines(double half, double bend, int lines, double tip) : half_(half), bend_(bend), lines_(lines) {
        const double reach = half * (1 + kTipBulge);
        slant_ = reach - std::min(tip, 0.4 * reach);
    }
    FlatLine towards_leg(int line) const { return {fold(0.5 * line / lines_), slant(line)}; }
    FlatLine towards_sole(int line) const { return {fold(1 - 0.5 * line / lines_), slant(line)}; }
    FlatPoint tip() const { return fold(0.5); }

private:
    /// Outline of the heel, from the leg (0) to the sole (1).
    FlatPoint fold(double share) const {
        const double s = std::sin(std::numbers::pi * share);
        // It leaves the back of the leg and meets the sole without a corner.
        const double ends = kIntoLeg * share * std::pow(1 - share, 4) + kIntoSole * (1 - share) * std::pow(share, 4);
        return ray(share) * (half_ * (1 + kTipBulge * s * s - ends));
    }
    FlatPoint slant(int line) const { return ray(0.5) * (slant_ * std::pow(static_cast<double>(line) / lines_, 1.15)); }
    FlatPoint ray(double share) const { return direction(180 * kDegree + bend_ - kWedge * share); }

    double half_, bend_, lines_, slant_ = 0;
};

/// Gusset, foot and toe: rounds across a straight axis, bent at the heel.
class FootLines {
public:
    FootLines(const Garment& garment, const SockRounds& parts, FootStart start, double stitch, double row)
        : start_(std::move(start)), row_(row), width_(2 * parts.quarter() * stitch) {
        bands_ = rounds_of(garment, parts.gusset);
        const std::vector<Round> foot = rounds_of(garment, parts.foot);
        bands_.insert(bands_.end(), foot.begin(), foot.end());
        sole_stitches_ =
            parts.heel == Heel::flap ? heel_turn(2 * parts.quarter()).stitches_after / 2.0 : parts.quarter() / 2.0;
        quarter_ = parts.quarter();
        const auto toe = static_cast<int>(std::count_if(
            bands_.begin(), bands_.end(), [](const Round& round) { return round.section == Section::toe; }));
        toe_from_ = last() - toe;
        bends_over_ = std::min(static_cast<int>(parts.gusset.size()) + kFootBends, toe_from_ + toe / 2);
        set_lines(stitch);
        set_axis(usual_bend(parts.heel).foot);
    }

    int last() const { return static_cast<int>(bands_.size()); }
    const Round& band(int line) const { return bands_[static_cast<std::size_t>(line)]; }

    FlatLine sole(double line) const { return sampled(line, 0); }
    FlatLine side(double line) const { return sampled(line, 1); }
    FlatLine front(double line) const { return sampled(line, 2); }
    /// Sole and side as one line of a plain round, which begins with the sole's stitches.
    FlatLine back(double line) const {
        const double sole_part = sole_stitches_ / quarter_;
        FlatLine points;
        for (int i = 0; i <= 2 * kBentLineSamples; ++i) {
            const double share = 0.5 * i / kBentLineSamples;
            points.push_back(share < sole_part ? point(line, 0, share / sole_part)
                                               : point(line, 1, (share - sole_part) / (1 - sole_part)));
        }
        return points;
    }

private:
    /// Widths of the lines, and what of them is back and sole: the means of the rounds on either side.
    void set_lines(double stitch) {
        const std::size_t lines = bands_.size() + 1;
        for (std::size_t line = 0; line < lines; ++line) {
            double width = 0, back = 0, sole = 0;
            for (const std::size_t at : {line == 0 ? 0 : line - 1, std::min(line, lines - 2)}) {
                const Round& round = bands_[at];
                const double seen = back_seen(round) + front_seen(round);
                width += 0.5 * std::min(width_, seen * stitch);
                back += 0.5 * back_seen(round) / seen;
                sole += 0.5 * sole_stitches_ / std::max(static_cast<double>(back_seen(round)), quarter_);
            }
            widths_.push_back(width);
            backs_.push_back(back);
            soles_.push_back(sole);
        }
        widen_toe();
        widths_ = smoothed(widths_, 1.2);
        backs_ = smoothed(backs_, 1.5);
        soles_ = smoothed(soles_, 1.5);
    }
    void widen_toe() {
        const double tip = widths_.back();
        for (int line = toe_from_; line <= last(); ++line) {
            double& width = widths_[static_cast<std::size_t>(line)];
            const double along = static_cast<double>(line - toe_from_) / std::max(1, last() - toe_from_);
            const double full = std::sqrt(tip * tip + (width_ * width_ - tip * tip) * (1 - along * along));
            width += kToeFullness * std::max(0.0, full - width);
        }
    }
    void set_axis(double usual_down) {
        const FlatPoint first_line = start_.front.back() - start_.sole.front();
        along_ = direction(usual_down + turned_down(first_line, usual_down));
        up_ = {along_.y, -along_.x};
        // What the first line is wider or narrower than the foot comes off the instep for the most part.
        constexpr double kFromSole = 0.3;
        origin_ = start_.sole.front() + up_ * (kFromSole * (dot(first_line, up_) - width_));
        for (int stretch = 0; stretch < 3; ++stretch)
            for (int i = 0; i <= kBentLineSamples; ++i) {
                const double share = static_cast<double>(i) / kBentLineSamples;
                const FlatLine& bent = stretch == 0 ? start_.sole : stretch == 1 ? start_.side : start_.front;
                off_[static_cast<std::size_t>(stretch)].push_back(at(bent, share) -
                                                                  straight(0, across(0, stretch, share)));
            }
    }

    /// A foot pointed higher than its first line faces gathers the instep; a short one has no room for that, and points
    /// lower.
    double turned_down(FlatPoint first_line, double usual_down) const {
        const double faces_down = std::atan2(first_line.x, -first_line.y);
        const double most = kGathered * bends_over_ * row_ / (1.5 * length(first_line));
        return std::max(0.0, faces_down - usual_down - std::asin(std::min(1.0, most)));
    }

    static double value(const std::vector<double>& values, double line) {
        const std::size_t before = std::min(static_cast<std::size_t>(line), values.size() - 2);
        const double part = line - static_cast<double>(before);
        return values[before] * (1 - part) + values[before + 1] * part;
    }
    /// Place across the straight round, from the sole's fold (0) to the front (1).
    double across(double line, int stretch, double share) const {
        const double back = value(backs_, line);
        const double sole = back * value(soles_, line);
        const std::array<double, 4> bounds{0, sole, back, 1};
        const auto s = static_cast<std::size_t>(stretch);
        return bounds[s] + (bounds[s + 1] - bounds[s]) * share;
    }
    FlatPoint straight(double line, double across_share) const {
        const double width = value(widths_, line);
        const double off_middle = 2 * across_share - 1;
        return origin_ + along_ * (line * row_ + rounding(line) * (1 - off_middle * off_middle)) +
               up_ * (0.5 * (width_ + width * off_middle));
    }
    /// How far the middle of a line is ahead of its ends, so that the toe ends round.
    double rounding(double line) const {
        const double from = toe_from_ - 10;
        const double along = std::max(0.0, (line - from) / (last() - from));
        return kToeRounding * 0.5 * widths_.back() * along * along;
    }
    FlatPoint point(double line, int stretch, double share) const {
        const double bent = bends_over_ == 0 ? 1 : 1 - eased(line / bends_over_);
        return straight(line, across(line, stretch, share)) + at(off_[static_cast<std::size_t>(stretch)], share) * bent;
    }
    FlatLine sampled(double line, int stretch) const {
        FlatLine points;
        for (int i = 0; i <= kBentLineSamples; ++i)
            points.push_back(point(line, stretch, static_cast<double>(i) / kBentLineSamples));
        return points;
    }

    FootStart start_;
    double row_, width_;
    double sole_stitches_ = 0, quarter_ = 0;
    std::vector<Round> bands_;
    std::vector<double> widths_, backs_, soles_;  // by line; shares of what is seen, and of the back
    std::array<FlatLine, 3> off_;                 // the first line less the straight one
    FlatPoint origin_, along_, up_;
    int toe_from_ = 0, bends_over_ = 0;
};

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
