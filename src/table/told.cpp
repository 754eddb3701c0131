#include "loopread/table/told.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/text.h"
#include "loopread/yarn/reduced.h"

namespace loopread {
namespace {

constexpr int kOtherWindings = 4;  // chosen: with the table's own five, enough to show that it is a range
constexpr int kCourseStep = 8;     // chosen: an eighth of the blank tells the mean to about 3 %
constexpr int kContrastStep = 8;   // pixels of the raster: a stitch

std::string left_in_words(const Fabric& fabric, double left_mm, double ball_mm) {
    if (left_mm >= 0 && !fabric.ran_out())
        return number_text(left_mm / 1000, 0) + " m left over, " + number_text(100 * left_mm / ball_mm, 0) +
               " % of the ball";
    const std::string place =
        fabric.rounds.empty() ? "first round" : section_in_words(fabric.rounds.back().round.section);
    return "the yarn ends in the " + place + ", round " + std::to_string(fabric.rounds.size()) + " of " +
           std::to_string(fabric.rounds_planned) + "; " + number_text(-left_mm / 1000, 0) + " m more is needed";
}

ToldBall told_ball(const DyeTable& table, int ball) {
    const TableKnitting& knitting = table.settled().knitting;
    const ColourRun& run = table.runs()[static_cast<std::size_t>(ball - 1)];
    const Fabric fabric =
        knitting.sock ? knitted(run, *knitting.sock, knitting.yarn_per_stitch) : plain_fabric(run, knitting.plain());
    ToldBall out;
    out.name = ball_name(table, ball);
    out.look = look_of(fabric, run, knitting.yarn_per_round().value);
    const double needed = knitting.sock
                              ? static_cast<double>(total_stitches(*knitting.sock)) * knitting.yarn_per_stitch.value
                              : fabric.yarn_used.value;
    const double left = run.length_mm() - needed;
    out.left_m = std::max(0.0, left) / 1000;
    out.left_g = std::max(0.0, left) / run.length_mm() * table.state().blank.ball_g;
    out.left_in_words = left_in_words(fabric, left, run.length_mm());
    return out;
}

ToldPair told_pair(const DyeTable& table) {
    ToldPair out;
    out.own = pair_difference(table.strands()[0], table.strands()[1]);
    out.range = {out.own.mean_de00, out.own.mean_de00};
    for (int other = 1; other <= kOtherWindings; ++other) {
        WindingOptions wound = table.winding();
        wound.seed += 1000 * static_cast<std::uint64_t>(other);
        const double mean =
            pair_difference(table.settled().layout, table.paint(), table.shape(), table.shares(), wound, kCourseStep)
                .mean_de00;
        out.range = {std::min(out.range.least, mean), std::max(out.range.most, mean)};
    }
    out.words = pair_in_words(out.range);
    return out;
}

/// Where a layer lies over half its strength: lightness of the painted side with it and without it.
std::vector<ToldLayer> told_layers(const DyeTable& table) {
    std::vector<ToldLayer> out;
    const TableState& state = table.state();
    const LinearRgb undyed = linear_from_srgb8(state.blank.undyed);
    struct Dyed {
        const TableLayer& layer;
        const Plane& amount;  // of its strength
        KOverS dye;
        KOverS at(int row, int column) const { return dye * amount(row, column); }
    };
    std::vector<Dyed> dyes;
    const std::vector<const Plane*> planes = table.laid_layers();
    for (const TableLayer& layer : state.layers)
        if (layer.on == TableLayer::Shown::yes)
            dyes.push_back({layer, *planes[dyes.size()], k_over_s(linear_from_srgb8(layer.colour)) - k_over_s(undyed)});
    const Image* picture = table.laid_picture();
    for (std::size_t i = 0; i < dyes.size(); ++i) {
        const Plane& own = dyes[i].amount;
        double sum = 0;
        int count = 0;
        for (int row = kContrastStep / 2; row < own.rows(); row += kContrastStep)
            for (int column = kContrastStep / 2; column < own.columns(); column += kContrastStep) {
                if (own(row, column) < 0.5 * dyes[i].layer.strength) continue;
                KOverS without = k_over_s(picture ? (*picture)(row, column) : undyed);
                for (std::size_t j = 0; j < dyes.size(); ++j)
                    if (j != i) without = without + dyes[j].at(row, column);
                const KOverS with = without + dyes[i].at(row, column);
                sum += lab_from_linear(linear_from_k_over_s(with)).l - lab_from_linear(linear_from_k_over_s(without)).l;
                ++count;
            }
        out.push_back({dyes[i].layer.id, count > 0 ? sum / count : 0});
    }
    return out;
}

std::string sentence_of(const std::vector<ToldBall>& balls) {
    const std::string& first = balls.front().look.verdict.sentence;
    const bool alike = std::all_of(balls.begin(), balls.end(),
                                   [&](const ToldBall& ball) { return ball.look.verdict.sentence == first; });
    if (alike) return first;
    const bool one_kind = std::all_of(balls.begin(), balls.end(), [&](const ToldBall& ball) {
        return ball.look.verdict.kind == balls.front().look.verdict.kind;
    });
    if (one_kind) return first;  // figures that differ a little are no second sentence
    std::string all;
    for (const ToldBall& ball : balls)
        all += (all.empty() ? "B" : " B") + ball.name.substr(1) + ": " + ball.look.verdict.sentence;
    return all;
}

}  // namespace

std::string ball_name(const DyeTable& table, int ball) {
    if (table.strands().size() == 1) return "the ball";
    return ball == 1 ? "ball A" : "ball B";
}

Told told(const DyeTable& table) {
    Told out;
    for (int ball = 1; ball <= static_cast<int>(table.strands().size()); ++ball)
        out.balls.push_back(told_ball(table, ball));
    if (table.strands().size() == 2) out.pair = told_pair(table);
    out.sentence = sentence_of(out.balls);
    out.rounds_per_row = table.settled().layout.row_yarn() / table.settled().knitting.yarn_per_round();
    out.palette = yarn_palette(table.strands(), kPaletteColours, table.state().seed);
    out.layers = told_layers(table);
    return out;
}

}  // namespace loopread
