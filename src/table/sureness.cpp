#include "loopread/table/sureness.h"

#include <algorithm>
#include <utility>

#include "loopread/base/require.h"
#include "loopread/blank/defaults.h"
#include "loopread/shares/look.h"

namespace loopread {
namespace {

constexpr int kDraws = 100;  // as on the command line

DoubtedKnitting doubted(const TableKnitting& knitting, int strands) {
    DoubtedKnitting out;
    out.strands.clear();
    for (int strand = 1; strand <= strands; ++strand) out.strands.push_back(strand);
    out.first_end = knitting.first_end();
    out.stitches = knitting.stitches;
    out.yarn_per_stitch = knitting.yarn_per_stitch;
    out.worked = knitting.worked;
    out.garment = [knitting](Millimetres yarn, Millimetres yarn_per_stitch) {
        if (knitting.sock) return *knitting.sock;
        PlainPiece piece = knitting.plain();
        piece.yarn_per_stitch = yarn_per_stitch;
        return plain_garment(piece, yarn);
    };
    return out;
}

Range yarn_range(const KnittingState& told, const TableKnitting& knitting) {
    if (told.yarn_per_round_cm) return held(1);
    return told.gauge_stitches ? yarn_at_known_gauge() : yarn_without_gauge(knitting.gauge.stitches);
}

}  // namespace

Ranges untold_ranges(const DyeTable& table) {
    Ranges ranges;
    const auto told = [](double used, double usual, Unmeasured what) {
        return used == usual ? stated_range(what, used) : held(used);
    };
    ranges[Unmeasured::wrap] = told(table.paint().wrap, kDefaultWrap, Unmeasured::wrap);
    ranges[Unmeasured::penetration] = told(table.paint().penetration, kDefaultPenetration, Unmeasured::penetration);
    const WindingOptions winding = table.winding();
    ranges[Unmeasured::turn] = stated_range(Unmeasured::turn, winding.turn.value);
    ranges[Unmeasured::wander] = stated_range(Unmeasured::wander, winding.wander.value);
    ranges[Unmeasured::yarn] = yarn_range(table.state().knitting, table.settled().knitting);
    return ranges;
}

TableSureness::TableSureness(const DyeTable& table, std::optional<RiskInUse> risk)
    : ranges_(untold_ranges(table)), winds_(table.settled().layout.strands == 2) {
    const SettledTable& settled = table.settled();
    blank_ = std::make_unique<const RepaintedBlank>(settled.layout, table.paint(), table.shape(), table.shares());
    const DoubtedYarn yarn{blank_.get(), {}, table.winding()};
    ranges_ = that_count(ranges_, yarn);
    if (all_told()) return;
    DoubtPlan plan;
    plan.ranges = ranges_;
    plan.draws = kDraws;
    plan.threads = 1;
    draws_.emplace(yarn, doubted(settled.knitting, settled.layout.strands), plan, std::move(risk));
    if (!draws_->tells()) draws_.reset();
}

bool TableSureness::all_told() const {
    return std::none_of(ranges_.of.begin(), ranges_.of.end(), [](const Range& range) { return range.drawn(); });
}

void TableSureness::step() {
    require(!done(), "a guess is left");
    draws_->step();
}

HowSure TableSureness::found() const {
    require(guesses(), "something was left to guess");
    return draws_->found();
}

std::string finding_out_at_table(Unmeasured what) {
    switch (what) {
        case Unmeasured::wrap:
            return "how far paint goes round a thread: ravel a corner, look, and set it under Blank, How the dye "
                   "behaves";
        case Unmeasured::penetration:
            return "how deep the dye goes into the yarn hidden in the loops: ravel a corner, look, and set it where "
                   "the paint is set";
        case Unmeasured::turn:
            return "how often the two strands turn about each other, which shows once a corner is ravelled";
        case Unmeasured::wander:
            return "how unevenly the two strands wind, which shows once a corner is ravelled";
        case Unmeasured::yarn:
            return "the yarn in a round: knit one, measure it, and set it under Knitting";
    }
    require(false, "a figure can be found out");
    return {};
}

std::string finding_out_by_knitting(Unmeasured what) {
    return what == Unmeasured::yarn ? "the yarn in one round: mark the yarn, knit a round, unpick, measure" : "";
}

}  // namespace loopread
