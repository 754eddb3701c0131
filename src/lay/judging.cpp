#include "loopread/lay/judging.h"

#include <algorithm>

#include "loopread/base/require.h"
#include "loopread/shares/advice.h"

namespace loopread {
namespace {

double worst_usual(const std::vector<std::vector<SweepPoint>>& strands) {
    double worst = 0;
    for (const auto& strand : strands)
        for (const SweepPoint& point : strand)
            if (point.yarn_per_round_mm >= kShortestRoundMm && point.yarn_per_round_mm <= kLongestRoundMm)
                worst = std::max(worst, point.pool_risk);
    return worst;
}

std::vector<SweepPoint> points_at(const std::vector<std::vector<SweepPoint>>& strands, int stitches) {
    std::vector<SweepPoint> points;
    for (const auto& strand : strands) {
        const auto found = std::find_if(strand.begin(), strand.end(),
                                        [&](const SweepPoint& point) { return point.stitches == stitches; });
        require(found != strand.end(), "the asked-for count was looked at");
        points.push_back(*found);
    }
    return points;
}

}  // namespace

LayJudge::LayJudge(BlankToKnit blank, std::vector<int> counts, RiskOptions risk)
    : blank_(std::move(blank)),
      every_count_(blank_.longest_run(), blank_.sweep_plan(std::move(counts)), risk),
      asked_count_(blank_.longest_run(), blank_.sweep_plan({blank_.stitches}), risk) {}

KnittedLay LayJudge::both_sides(const Way& way, const Paint& paint) const {
    return {knitted_up({way.rotate, way.mirror, Painted::face}, paint),
            knitted_up({way.rotate, way.mirror, Painted::back}, paint)};
}

KnittedWay LayJudge::knitted_up(const Way& way, const Paint& paint) const {
    KnittedWay out;
    out.runs = runs_to_knit(blank_, way.painted, paint);
    WayFindings& found = out.findings;
    const bool every = way.painted == blank_.layout.painted;
    for (const ColourRun& run : out.runs) found.strands.push_back((every ? every_count_ : asked_count_).swept(run));
    found.judged = judged(way, points_at(found.strands, blank_.stitches));
    if (every) found.worst_risk = worst_usual(found.strands);
    out.fabric = plain_fabric(out.runs.front(), {blank_.stitches, blank_.yarn_per_stitch, blank_.worked});
    found.look = look_of(out.fabric, out.runs.front(), (blank_.yarn_per_stitch * blank_.stitches).value);
    return out;
}

std::vector<Way> all_lays() {
    std::vector<Way> ways = all_ways();  // those on the knit side, then the same on the purl side
    ways.resize(ways.size() / 2);
    return ways;
}

WaysInTurn::WaysInTurn(LayJudge judge, std::function<Paint(const Way&)> laid)
    : judge_(std::move(judge)), laid_(std::move(laid)), lays_(all_lays()) {}

KnittedLay WaysInTurn::step() {
    require(!done(), "there is a lay left");
    const Way& way = lays_[knit_side_.size()];
    KnittedLay lay = judge_.both_sides(way, laid_(way));
    knit_side_.push_back(lay.knit_side.findings);
    purl_side_.push_back(lay.purl_side.findings);
    return lay;
}

std::vector<WayFindings> WaysInTurn::findings() const {
    std::vector<WayFindings> all = knit_side_;
    all.insert(all.end(), purl_side_.begin(), purl_side_.end());
    return all;
}

}  // namespace loopread
