#include "loopread/shares/risk_sweep.h"

#include <algorithm>
#include <optional>

#include "knitted_strand.h"
#include "loopread/base/require.h"

namespace loopread {

class RiskSweep::State {
public:
    State(std::vector<ColourRun> strands, SweepPlan plan, RiskOptions options)
        : strands_(std::move(strands)), plan_(std::move(plan)), options_(options), knitting_(plan_.worked) {
        require(!strands_.empty(), "there are strands");
        require_sensible(plan_, options_);
        for (const ColourRun& strand : strands_) longest_mm_ = std::max(longest_mm_, strand.length_mm());
        points_.resize(strands_.size());
        pools_.assign(strands_.size(), std::vector<int>(plan_.stitches.size(), 0));
    }

    bool done() const { return taken_ == steps(); }
    double progress() const { return done() ? 1 : static_cast<double>(taken_) / static_cast<double>(steps()); }
    int knitters() const { return static_cast<int>(std::max(taken_, plan_.stitches.size()) - plan_.stitches.size()); }
    const std::vector<std::vector<SweepPoint>>& points() const { return points_; }

    void step() {
        if (done()) return;
        if (taken_ < plan_.stitches.size())
            add_count(plan_.stitches[taken_]);
        else
            add_knitter(taken_ - plan_.stitches.size());
        ++taken_;
        set_risks();
    }

private:
    std::size_t steps() const {
        return plan_.stitches.empty() ? 0 : plan_.stitches.size() + static_cast<std::size_t>(options_.knitters);
    }

    void add_count(int stitches) {
        if (planned_.empty())
            for (const ColourRun& strand : strands_) planned_.emplace_back(strand, plan_);
        for (std::size_t s = 0; s < strands_.size(); ++s) points_[s].push_back(planned_[s].point(stitches));
    }

    void add_knitter(std::size_t knitter) {
        if (colours_.empty())
            for (const ColourRun& strand : strands_)
                colours_.push_back(strand.empty() ? std::nullopt
                                                  : std::optional(WindowColours(strand, plan_.yarn_per_stitch_mm, 1)));
        const std::vector<double> starts = starts_of_knitter(knitter, longest_mm_, plan_, options_);
        for (std::size_t s = 0; s < strands_.size(); ++s) {
            if (!colours_[s]) continue;
            knitting_.assign(stitches_within(starts, strands_[s].length_mm()), *colours_[s], plan_.stitches);
            for (std::size_t i = 0; i < plan_.stitches.size(); ++i)
                pools_[s][i] += knitting_.pools(plan_.stitches[i], options_) ? 1 : 0;
        }
    }

    void set_risks() {
        if (knitters() == 0) return;
        for (std::size_t s = 0; s < points_.size(); ++s)
            for (std::size_t i = 0; i < points_[s].size(); ++i)
                if (points_[s][i].shares.why_none.empty())
                    points_[s][i].pool_risk = static_cast<double>(pools_[s][i]) / knitters();
    }

    std::vector<ColourRun> strands_;
    SweepPlan plan_;
    RiskOptions options_;
    double longest_mm_ = 0;
    std::size_t taken_ = 0;                              // steps
    std::vector<PlannedStrand> planned_;                 // from the first step on
    std::vector<std::optional<WindowColours>> colours_;  // from the first knitter on; none of an empty strand
    std::vector<std::vector<SweepPoint>> points_;        // of each strand
    std::vector<std::vector<int>> pools_;                // of each strand: knitters for whom a count pools
    KnittedStrand knitting_;
};

RiskSweep::RiskSweep(std::vector<ColourRun> strands, SweepPlan plan, RiskOptions options)
    : state_(std::make_unique<State>(std::move(strands), std::move(plan), options)) {}
RiskSweep::~RiskSweep() = default;
RiskSweep::RiskSweep(RiskSweep&&) noexcept = default;
RiskSweep& RiskSweep::operator=(RiskSweep&&) noexcept = default;

bool RiskSweep::done() const {
    return state_->done();
}
double RiskSweep::progress() const {
    return state_->progress();
}
void RiskSweep::step() {
    state_->step();
}
int RiskSweep::knitters() const {
    return state_->knitters();
}
const std::vector<std::vector<SweepPoint>>& RiskSweep::points() const {
    return state_->points();
}
std::vector<RoundRisk> RiskSweep::risks() const {
    return round_risks(state_->points());
}

}  // namespace loopread
