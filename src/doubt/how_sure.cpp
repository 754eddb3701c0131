#include "loopread/doubt/how_sure.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "doubt/pool_curve.h"
#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "loopread/fabric/alternated.h"
#include "loopread/fabric/fabric.h"
#include "loopread/shares/look.h"

namespace loopread {
namespace {

constexpr double kLeastMoved = 0.1, kTimesTheNext = 2;

/// What one draw comes to.
struct Found {
    FabricLook look;
    double pair_mean_de00 = 0;
    std::vector<double> risks;  // at the round lengths in use
    double asked_risk = 0;
};

Draw in_use(const Ranges& ranges, const WindingOptions& winding) {
    return {ranges[Unmeasured::wrap].used, ranges[Unmeasured::penetration].used, winding, 1};
}

double value_of(const Draw& draw, Unmeasured what) {
    switch (what) {
        case Unmeasured::wrap:
            return draw.wrap;
        case Unmeasured::penetration:
            return draw.penetration;
        case Unmeasured::turn:
            return draw.winding.turn.value;
        case Unmeasured::wander:
            return draw.winding.wander.value;
        case Unmeasured::yarn:
            return draw.yarn;
    }
    require(false, "a figure that is drawn");
    return 0;
}

/// The pool risk of a draw at any stitch count: that in use and what the draw changes in it.
class DrawnRisk {
public:
    DrawnRisk(const RiskInUse& risk, const DoubtedKnitting& knitting, const Range& yarn, const ColourRun& run_in_use)
        : risks_(risk.risks),
          curve_(risk, knitting, run_in_use.length(),
                 std::min<double>(risk.risks.front().stitches, yarn.low * knitting.stitches),
                 std::max<double>(risk.risks.back().stitches, yarn.high * knitting.stitches)),
          in_use_(curve_.pooling(run_in_use)) {}

    std::vector<double> pooling(const ColourRun& run) const { return curve_.pooling(run); }
    const std::vector<double>& pooling_in_use() const { return in_use_; }
    const std::vector<RoundRisk>& risks() const { return risks_; }

    double at(const std::vector<double>& pooling, double count) const {
        const double change = curve_.at(pooling, count) - curve_.at(in_use_, count);
        return std::clamp(at_in_use(count) + change, 0.0, 1.0);
    }

private:
    /// Straight between the round lengths looked at; beyond them as the drifting knitters go on.
    double at_in_use(double count) const {
        const auto after =
            std::find_if(risks_.begin(), risks_.end(), [&](const RoundRisk& risk) { return risk.stitches >= count; });
        if (after != risks_.end() && after->stitches == count) return after->risk;
        if (after == risks_.begin() || after == risks_.end()) {
            const RoundRisk& end = after == risks_.begin() ? risks_.front() : risks_.back();
            return end.risk + curve_.at(in_use_, count) - curve_.at(in_use_, end.stitches);
        }
        const RoundRisk& before = *std::prev(after);
        const double share = (count - before.stitches) / (after->stitches - before.stitches);
        return before.risk + share * (after->risk - before.risk);
    }

    const std::vector<RoundRisk>& risks_;
    PoolCurve curve_;
    std::vector<double> in_use_;
};

/// Unravels and knits as a draw has it.
class Knitter {
public:
    Knitter(const DoubtedYarn& yarn, const DoubtedKnitting& knitting) : yarn_(yarn), knitting_(knitting) {}

    /// The ball that is knitted first, as it came off the blank.
    ColourRun first_ball(const Draw& draw) const { return ball(0, draw); }
    ColourRun from_its_end(const ColourRun& ball) const {
        return knitting_.first_end == FirstEnd::far_end ? ball.reversed() : ball;
    }

    FabricLook look(const ColourRun& first, const Draw& draw) const {
        const Millimetres stitch = knitting_.yarn_per_stitch * draw.yarn;
        const Garment piece = knitting_.garment(first.length(), stitch);
        const double round_mm = stitch.value * knitting_.stitches;
        if (knitting_.alternate == 0) return look_of(knitted(first, piece, stitch), first, round_mm);
        const ColourRun last = from_its_end(ball(knitting_.strands.size() - 1, draw));
        const ColourRun taken = alternated(near_and_far(first, last, knitting_.alternate), piece, stitch);
        return look_of(knitted(taken, piece, stitch), taken, round_mm);
    }

private:
    ColourRun ball(std::size_t which, const Draw& draw) const {
        const int strand = knitting_.strands.at(which) - 1;
        return yarn_.blank ? yarn_.blank->strand(strand, draw) : yarn_.strands.at(static_cast<std::size_t>(strand));
    }

    const DoubtedYarn& yarn_;
    const DoubtedKnitting& knitting_;
};

std::vector<KindCount> counted_kinds(const std::vector<Found>& found) {
    std::map<std::string, int> counts;
    for (const Found& one : found) ++counts[one.look.verdict.kind];
    std::vector<KindCount> kinds;
    for (const auto& [kind, draws] : counts) kinds.push_back({kind, draws});
    std::stable_sort(kinds.begin(), kinds.end(), [](const auto& a, const auto& b) { return a.draws > b.draws; });
    return kinds;
}

template <class Value>
std::vector<double> over_draws(const std::vector<Found>& found, const Value& value) {
    std::vector<double> values;
    for (const Found& one : found) values.push_back(value(one));
    return values;
}

ShareBands share_bands(const std::vector<Found>& found) {
    const auto band = [&](double Shares::*share) {
        return band_of(over_draws(found, [&](const Found& one) { return one.look.shares.*share; }));
    };
    return {band(&Shares::stripe), band(&Shares::pool), band(&Shares::dash), band(&Shares::speckle)};
}

RiskDoubt risk_doubt(const std::vector<Found>& found) {
    RiskDoubt doubt;
    doubt.asked = band_of(over_draws(found, [](const Found& one) { return one.asked_risk; }));
    for (std::size_t i = 0; i < found.front().risks.size(); ++i)
        doubt.bands.push_back(band_of(over_draws(found, [&](const Found& one) { return one.risks[i]; })));
    doubt.clear = static_cast<int>(
        std::count_if(found.begin(), found.end(), [](const Found& one) { return one.asked_risk <= kClearRisk; }));
    return doubt;
}

std::vector<Mover> movers(const Ranges& ranges, const std::vector<Draw>& draws,
                          const std::vector<std::vector<double>>& answers) {
    std::vector<Mover> all;
    for (std::size_t i = 0; i < kUnmeasured; ++i) {
        const auto what = static_cast<Unmeasured>(i);
        if (!ranges[what].drawn()) continue;
        std::vector<double> figure;
        for (const Draw& draw : draws) figure.push_back(value_of(draw, what));
        all.push_back({what, moved_share(figure, answers)});
    }
    std::stable_sort(all.begin(), all.end(), [](const Mover& a, const Mover& b) { return a.share > b.share; });
    return all;
}

std::vector<std::vector<double>> verdict_answers(const std::vector<Found>& found, const std::vector<KindCount>& kinds) {
    std::vector<std::vector<double>> answers;
    for (const Found& one : found) {
        std::vector<double> answer;
        for (const KindCount& kind : kinds) answer.push_back(one.look.verdict.kind == kind.kind ? 1 : 0);
        answers.push_back(std::move(answer));
    }
    return answers;
}

/// A plan's draws, each of which may be asked for at any time, by any thread, once.
class PlannedDraws {
public:
    PlannedDraws(DoubtedYarn yarn, DoubtedKnitting knitting, const DoubtPlan& plan, std::optional<RiskInUse> risk)
        : yarn_(std::move(yarn)),
          knitting_(std::move(knitting)),
          risk_(std::move(risk)),
          ranges_(that_count(plan.ranges, yarn_)),
          knitter_(yarn_, knitting_) {
        require(plan.draws > 0 && knitting_.stitches > 0 && knitting_.garment,
                "there is something to draw and to knit");
        const Draw used = in_use(ranges_, yarn_.winding);
        const ColourRun first = knitter_.from_its_end(knitter_.first_ball(used));
        look_in_use_ = knitter_.look(first, used);
        if (!tells()) return;
        if (risk_) drawn_risk_.emplace(*risk_, knitting_, ranges_[Unmeasured::yarn], first);
        draws_ = draws_from(ranges_, yarn_.winding, pair() ? Winds::anew : Winds::as_in_use, plan.draws);
        found_.resize(draws_.size());
    }
    PlannedDraws(const PlannedDraws&) = delete;
    PlannedDraws& operator=(const PlannedDraws&) = delete;

    /// Whether the figures in use give shares.
    bool tells() const { return look_in_use_.shares.why_none.empty(); }
    std::size_t count() const { return draws_.size(); }

    void draw(std::size_t i) {
        const ColourRun ball = knitter_.first_ball(draws_[i]);
        const ColourRun first = knitter_.from_its_end(ball);
        Found& found = found_[i];
        found.look = knitter_.look(first, draws_[i]);
        if (yarn_.blank)
            found.pair_mean_de00 = yarn_.blank->pair_mean_de00(ball, knitting_.strands.front() - 1, draws_[i]);
        if (!drawn_risk_) return;
        const std::vector<double> pooling = yarn_.blank ? drawn_risk_->pooling(first) : drawn_risk_->pooling_in_use();
        for (const RoundRisk& round : drawn_risk_->risks())
            found.risks.push_back(round.known ? drawn_risk_->at(pooling, round.stitches) : 0);
        found.asked_risk = drawn_risk_->at(pooling, draws_[i].yarn * knitting_.stitches);
    }

    /// Once all have been asked for.
    HowSure found() const {
        HowSure sure;
        sure.draws = static_cast<int>(draws_.size());
        sure.kinds = counted_kinds(found_);
        sure.kind_in_use = look_in_use_.verdict.kind;
        sure.shares = share_bands(found_);
        if (pair())
            sure.pair_mean_de00 = band_of(over_draws(found_, [](const Found& one) { return one.pair_mean_de00; }));
        sure.verdict_moved_by = movers(ranges_, draws_, verdict_answers(found_, sure.kinds));
        std::vector<double> rounds_mm;
        for (const Draw& draw : draws_)
            rounds_mm.push_back(draw.yarn * knitting_.yarn_per_stitch.value * knitting_.stitches);
        sure.yarn_per_round_mm = band_of(rounds_mm);
        if (!drawn_risk_) return sure;
        sure.risk = risk_doubt(found_);
        std::vector<std::vector<double>> asked;
        for (const Found& one : found_) asked.push_back({one.asked_risk});
        sure.risk_moved_by = movers(ranges_, draws_, asked);
        return sure;
    }

private:
    bool pair() const { return yarn_.blank && yarn_.blank->strands() == 2; }

    DoubtedYarn yarn_;
    DoubtedKnitting knitting_;
    std::optional<RiskInUse> risk_;
    Ranges ranges_;
    Knitter knitter_;
    FabricLook look_in_use_;
    std::optional<DrawnRisk> drawn_risk_;
    std::vector<Draw> draws_;
    std::vector<Found> found_;
};

}  // namespace

Ranges that_count(Ranges ranges, const DoubtedYarn& yarn) {
    const auto hold = [&](Unmeasured what) { ranges[what] = held(ranges[what].used); };
    if (!yarn.blank)
        for (const Unmeasured what : {Unmeasured::wrap, Unmeasured::penetration}) hold(what);
    if (yarn.blank && !yarn.blank->penetration_counts()) hold(Unmeasured::penetration);
    if (!yarn.blank || yarn.blank->strands() < 2)
        for (const Unmeasured what : {Unmeasured::turn, Unmeasured::wander}) hold(what);
    return ranges;
}

std::optional<HowSure> how_sure(DoubtedYarn yarn, DoubtedKnitting knitting, const DoubtPlan& plan,
                                std::optional<RiskInUse> risk) {
    PlannedDraws draws(std::move(yarn), std::move(knitting), plan, std::move(risk));
    if (!draws.tells()) return std::nullopt;
    in_parallel(draws.count(), thread_count(plan.threads), [&] { return [&](std::size_t i) { draws.draw(i); }; });
    return draws.found();
}

class DrawsInTurn::Draws : public PlannedDraws {
public:
    using PlannedDraws::PlannedDraws;
    std::size_t taken = 0;
};

DrawsInTurn::DrawsInTurn(DoubtedYarn yarn, DoubtedKnitting knitting, const DoubtPlan& plan,
                         std::optional<RiskInUse> risk)
    : draws_(std::make_unique<Draws>(std::move(yarn), std::move(knitting), plan, std::move(risk))) {}

DrawsInTurn::~DrawsInTurn() = default;
DrawsInTurn::DrawsInTurn(DrawsInTurn&&) noexcept = default;
DrawsInTurn& DrawsInTurn::operator=(DrawsInTurn&&) noexcept = default;

bool DrawsInTurn::tells() const {
    return draws_->tells();
}

bool DrawsInTurn::done() const {
    return draws_->taken == draws_->count();
}

double DrawsInTurn::progress() const {
    return done() ? 1 : static_cast<double>(draws_->taken) / static_cast<double>(draws_->count());
}

void DrawsInTurn::step() {
    require(!done(), "a draw is left");
    draws_->draw(draws_->taken++);
}

HowSure DrawsInTurn::found() const {
    require(tells() && done(), "all has been drawn");
    return draws_->found();
}

std::optional<Unmeasured> clear_mover(const std::vector<Mover>& movers) {
    if (movers.empty() || movers.front().share < kLeastMoved) return std::nullopt;
    if (movers.size() > 1 && movers.front().share < kTimesTheNext * movers[1].share) return std::nullopt;
    return movers.front().what;
}

}  // namespace loopread
