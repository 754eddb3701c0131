#include "raster/laid_flat_sock_lines.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <utility>

namespace loopread {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

// Chosen by eye, by what lies well.
constexpr int kLegBends = 34;                        // rounds over which the leg straightens
constexpr int kFootBends = 34;                       // plain rounds over which the foot does, gusset not counted
constexpr double kGathered = 0.42;                   // most of a round's height that bending takes away
constexpr double kFlapDrawsIn = 0.87;                // height of a flap's row: slipped stitches hold it short
constexpr double kFlapRounding = 0.12;               // of its width: how far the foot of the flap's fold comes in
constexpr double kWedge = 92 * kDegree;              // that a short-row or an afterthought heel fills
constexpr double kTipBulge = 0.24;                   // of its width: how far such a heel reaches beyond a circle
constexpr double kIntoLeg = 0.40, kIntoSole = 0.37;  // slopes of such a heel's outline at its ends
constexpr double kToeFullness = 0.62;                // 0: as wide as its stitches; 1: an ellipse
constexpr double kToeRounding = 0.27;                // rise of the last line's middle over half its width
constexpr double kRibDrawsIn = 0.86, kRibbedLegDrawsIn = 0.94;

Bend usual_bend(Heel heel) {
    if (heel == Heel::flap) return {6 * kDegree, 22 * kDegree, 26 * kDegree};
    return {16 * kDegree, 30 * kDegree, 31 * kDegree};
}

FlatPoint direction(double down_from_level) {
    return {std::cos(down_from_level), std::sin(down_from_level)};
}

}  // namespace

LegLines::LegLines(const Garment& garment, const SockRounds& parts, double half, double row)
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

FlatPoint LegLines::point(int line, double across) const {
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

FlatLine LegLines::sampled(int line, double from, double to) const {
    FlatLine points;
    for (int i = 0; i <= kBentLineSamples; ++i)
        points.push_back(point(line, from + (to - from) * i / kBentLineSamples));
    return points;
}

FlapLines::FlapLines(const Garment& garment, const SockRounds& parts, double stitch, double row, double bend)
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

FlatLine FlapLines::flap(int line) const {
    const double y = depth_ * line / rows_;
    return {turned({fold(y), y}), turned({0, y})};
}

FlatLine FlapLines::turn(int line) const {
    const double along = line / turns_;
    const double inner = (fold(depth_) + first_) * (1 - along);
    const double across = first_ + (last_ - first_) * along;
    constexpr double kUpright = 0.62;  // of the turn; chosen by eye, as the sine that takes the rows there
    const double angle = 90 * kDegree * std::sin(90 * kDegree * std::min(1.0, along / kUpright));
    const FlatPoint side{inner, depth_};
    return {turned(side + FlatPoint{-std::cos(angle), std::sin(angle)} * across), turned(side)};
}

double FlapLines::fold(double y) const {
    const double late = std::max(0.0, (y / depth_ - 0.5) / 0.5);
    return -half_ * (1 - kFlapRounding * late * late);
}

FlatPoint FlapLines::turned(FlatPoint p) const {
    const FlatPoint right = direction(bend_);
    return right * p.x + FlatPoint{-right.y, right.x} * p.y;
}

WedgeLines::WedgeLines(double half, double bend, int lines, double tip) : half_(half), bend_(bend), lines_(lines) {
    const double reach = half * (1 + kTipBulge);
    slant_ = reach - std::min(tip, 0.4 * reach);
}

FlatPoint WedgeLines::fold(double share) const {
    const double s = std::sin(std::numbers::pi * share);
    // It leaves the back of the leg and meets the sole without a corner.
    const double ends = kIntoLeg * share * std::pow(1 - share, 4) + kIntoSole * (1 - share) * std::pow(share, 4);
    return ray(share) * (half_ * (1 + kTipBulge * s * s - ends));
}

FlatPoint WedgeLines::slant(int line) const {
    return ray(0.5) * (slant_ * std::pow(static_cast<double>(line) / lines_, 1.15));
}

FlatPoint WedgeLines::ray(double share) const {
    return direction(180 * kDegree + bend_ - kWedge * share);
}

FootLines::FootLines(const Garment& garment, const SockRounds& parts, FootStart start, double stitch, double row)
    : start_(std::move(start)), row_(row), width_(2 * parts.quarter() * stitch) {
    bands_ = rounds_of(garment, parts.gusset);
    const std::vector<Round> foot = rounds_of(garment, parts.foot);
    bands_.insert(bands_.end(), foot.begin(), foot.end());
    sole_stitches_ =
        parts.heel == Heel::flap ? heel_turn(2 * parts.quarter()).stitches_after / 2.0 : parts.quarter() / 2.0;
    quarter_ = parts.quarter();
    const auto toe = static_cast<int>(
        std::count_if(bands_.begin(), bands_.end(), [](const Round& round) { return round.section == Section::toe; }));
    toe_from_ = last() - toe;
    bends_over_ = std::min(static_cast<int>(parts.gusset.size()) + kFootBends, toe_from_ + toe / 2);
    set_lines(stitch);
    set_axis(usual_bend(parts.heel).foot);
}

FlatLine FootLines::back(double line) const {
    const double sole_part = sole_stitches_ / quarter_;
    FlatLine points;
    for (int i = 0; i <= 2 * kBentLineSamples; ++i) {
        const double share = 0.5 * i / kBentLineSamples;
        points.push_back(share < sole_part ? point(line, 0, share / sole_part)
                                           : point(line, 1, (share - sole_part) / (1 - sole_part)));
    }
    return points;
}

void FootLines::set_lines(double stitch) {
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

void FootLines::widen_toe() {
    const double tip = widths_.back();
    for (int line = toe_from_; line <= last(); ++line) {
        double& width = widths_[static_cast<std::size_t>(line)];
        const double along = static_cast<double>(line - toe_from_) / std::max(1, last() - toe_from_);
        const double full = std::sqrt(tip * tip + (width_ * width_ - tip * tip) * (1 - along * along));
        width += kToeFullness * std::max(0.0, full - width);
    }
}

void FootLines::set_axis(double usual_down) {
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
            off_[static_cast<std::size_t>(stretch)].push_back(at(bent, share) - straight(0, across(0, stretch, share)));
        }
}

double FootLines::turned_down(FlatPoint first_line, double usual_down) const {
    const double faces_down = std::atan2(first_line.x, -first_line.y);
    const double most = kGathered * bends_over_ * row_ / (1.5 * length(first_line));
    return std::max(0.0, faces_down - usual_down - std::asin(std::min(1.0, most)));
}

double FootLines::value(const std::vector<double>& values, double line) {
    const std::size_t before = std::min(static_cast<std::size_t>(line), values.size() - 2);
    const double part = line - static_cast<double>(before);
    return values[before] * (1 - part) + values[before + 1] * part;
}

double FootLines::across(double line, int stretch, double share) const {
    const double back = value(backs_, line);
    const double sole = back * value(soles_, line);
    const std::array<double, 4> bounds{0, sole, back, 1};
    const auto s = static_cast<std::size_t>(stretch);
    return bounds[s] + (bounds[s + 1] - bounds[s]) * share;
}

FlatPoint FootLines::straight(double line, double across_share) const {
    const double width = value(widths_, line);
    const double off_middle = 2 * across_share - 1;
    return origin_ + along_ * (line * row_ + rounding(line) * (1 - off_middle * off_middle)) +
           up_ * (0.5 * (width_ + width * off_middle));
}

double FootLines::rounding(double line) const {
    const double from = toe_from_ - 10;
    const double along = std::max(0.0, (line - from) / (last() - from));
    return kToeRounding * 0.5 * widths_.back() * along * along;
}

FlatPoint FootLines::point(double line, int stretch, double share) const {
    const double bent = bends_over_ == 0 ? 1 : 1 - eased(line / bends_over_);
    return straight(line, across(line, stretch, share)) + at(off_[static_cast<std::size_t>(stretch)], share) * bent;
}

FlatLine FootLines::sampled(double line, int stretch) const {
    FlatLine points;
    for (int i = 0; i <= kBentLineSamples; ++i)
        points.push_back(point(line, stretch, static_cast<double>(i) / kBentLineSamples));
    return points;
}

}  // namespace loopread
