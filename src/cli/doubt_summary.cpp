#include "cli/doubt_summary.h"

#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

constexpr double kSure = 0.95, kFairlySure = 0.8;  // of the draws; chosen

std::string name_of(Unmeasured what) {
    switch (what) {
        case Unmeasured::wrap:
            return "wrap";
        case Unmeasured::penetration:
            return "penetration";
        case Unmeasured::turn:
            return "winding_mm";
        case Unmeasured::wander:
            return "wander_degrees";
        case Unmeasured::yarn:
            return "yarn_per_round_mm";
    }
    require(false, "a figure has a name");
    return {};
}

std::string advice_on(Unmeasured what) {
    switch (what) {
        case Unmeasured::wrap:
            return "how far paint goes round a thread: photograph both sides (--other-side), or ravel a corner and "
                   "set --wrap";
        case Unmeasured::penetration:
            return "how far dye goes into the yarn hidden in the loops: photograph both sides (--other-side), or ravel "
                   "a "
                   "corner and set --penetration";
        case Unmeasured::turn:
            return "how often the two strands turn about each other: ravel a corner, count, and set --winding";
        case Unmeasured::wander:
            return "how unevenly the two strands wind: ravel a corner, look, and set --wander";
        case Unmeasured::yarn:
            return "the yarn in a round: measure it (--yarn-per-round)";
    }
    require(false, "a figure can be measured");
    return {};
}

std::string what_decides(const std::vector<Mover>& movers) {
    const auto mover = clear_mover(movers);
    return mover ? " Most depends on " + advice_on(*mover) + "." : " No single figure decides.";
}

std::string kind_in_words(const std::string& kind) {
    if (kind == "fade") return "a fade";
    if (kind == "dashes") return "short dashes";
    if (kind == "none") return "too little yarn to tell";
    return kind;
}

/// "in 68 of 100 trials with other guesses at what was not measured"
std::string in_trials(int draws, int all) {
    return (draws == all ? "in all " + std::to_string(all)
                         : "in " + std::to_string(draws) + " of " + std::to_string(all)) +
           " trials with other guesses at what was not measured";
}

/// How sure so many of all draws make one.
std::string opening(int draws, int all) {
    const double part = static_cast<double>(draws) / all;
    return part >= kSure ? "sure. " : part >= kFairlySure ? "fairly sure. " : "not sure. ";
}

/// Draws with which the asked-for round is clear, if it is with the figures in use; not clear, if it is not.
int draws_that_agree(const HowSure& sure, double risk_in_use) {
    require(sure.risk.has_value(), "the risk was asked for");
    return risk_in_use <= kClearRisk ? sure.risk->clear : sure.draws - sure.risk->clear;
}

Json band_json(const Band& band, int decimals) {
    return {{"p5", rounded(band.p5, decimals)},
            {"median", rounded(band.median, decimals)},
            {"p95", rounded(band.p95, decimals)}};
}

Json figure_json(const DoubtedFigure& figure, const Knitting& knitting) {
    const double scale = figure.what == Unmeasured::yarn ? knitting.yarn_per_round().value : 1;
    return {{"name", name_of(figure.what)},
            {"in_use", rounded(scale * figure.range.used, 3)},
            {"from", rounded(scale * figure.range.low, 3)},
            {"to", rounded(scale * figure.range.high, 3)},
            {"drawn", figure.range.drawn()},
            {"why", figure.why}};
}

Json movers_json(const std::vector<Mover>& movers) {
    Json json = Json::object();
    for (const Mover& mover : movers) json[name_of(mover.what)] = rounded(mover.share, 3);
    return json;
}

Json mover_json(const std::vector<Mover>& movers) {
    const auto mover = clear_mover(movers);
    return mover ? Json(name_of(*mover)) : Json(nullptr);
}

std::string hundred(double risk) {
    return std::to_string(std::lround(100 * risk));
}

}  // namespace

std::string look_sureness(const HowSure& sure) {
    std::string words = "The look: " + opening(sure.kinds.front().draws, sure.draws);
    for (std::size_t i = 0; i < sure.kinds.size(); ++i) {
        const KindCount& kind = sure.kinds[i];
        if (i == 0)
            words += "It is " + kind_in_words(kind.kind) + " " + in_trials(kind.draws, sure.draws);
        else
            words += ", " + kind_in_words(kind.kind) + " in " + std::to_string(kind.draws);
    }
    words += ".";
    if (sure.kind_in_use != sure.kinds.front().kind)
        words += " With the figures used here it is " + kind_in_words(sure.kind_in_use) + ".";
    if (sure.kinds.front().draws < kSure * sure.draws) words += what_decides(sure.verdict_moved_by);
    return words;
}

bool risk_holds(const HowSure& sure, double risk_in_use) {
    return draws_that_agree(sure, risk_in_use) >= kSure * sure.draws;
}

std::string risk_sureness(const HowSure& sure, double risk_in_use) {
    const bool clear = risk_in_use <= kClearRisk;
    const int agree = draws_that_agree(sure, risk_in_use);
    const std::string low = hundred(sure.risk->asked.p5), high = hundred(sure.risk->asked.p95);
    const std::string seen = high == "0" ? "none" : low == high ? low : low + " to " + high;
    std::string words = "Pools: " + opening(agree, sure.draws) +
                        (clear ? "Your round stays clear of them " : "Your round is at risk of them ") +
                        in_trials(agree, sure.draws) + "; in nine trials of ten, " + seen +
                        " of 100 knitters would see them.";
    if (!risk_holds(sure, risk_in_use)) words += what_decides(sure.risk_moved_by);
    return words;
}

std::string nothing_to_guess() {
    return "Nothing had to be guessed: the yarn, and how much of it a round takes, were given.";
}

std::string drawn_in_words(const Doubts& doubts) {
    bool dye = false;
    for (const DoubtedFigure& figure : doubts.figures())
        dye = dye ||
              (figure.range.drawn() && (figure.what == Unmeasured::wrap || figure.what == Unmeasured::penetration));
    if (dye && doubts.winds()) return "how far the dye went and how the strands lie were";
    return dye ? "how far the dye went was" : doubts.winds() ? "how the strands lie was" : "";
}

Json how_sure_json(const HowSure& sure, const Doubts& doubts, const Knitting& knitting, const std::string& sentence) {
    Json figures = Json::array();
    for (const DoubtedFigure& figure : doubts.figures()) figures.push_back(figure_json(figure, knitting));
    Json kinds = Json::object();
    for (const KindCount& kind : sure.kinds) kinds[kind.kind] = kind.draws;
    Json json = {{"sentence", sentence},
                 {"draws", sure.draws},
                 {"verdicts", kinds},
                 {"verdict_in_use", sure.kind_in_use},
                 {"shares",
                  {{"stripe", band_json(sure.shares.stripe, 4)},
                   {"pool", band_json(sure.shares.pool, 4)},
                   {"dash", band_json(sure.shares.dash, 4)},
                   {"speckle", band_json(sure.shares.speckle, 4)}}},
                 {"pair_mean_de00", nullptr},
                 {"yarn_per_round_mm", band_json(sure.yarn_per_round_mm, 2)},
                 {"quantities", figures},
                 {"winding", doubts.winds() ? "drawn anew each time" : "held: one strand, or a yarn as it is"},
                 {"model",
                  "a Latin hypercube of guesses; that the truth lies in these ranges, and most likely near the figure "
                  "in use, is chosen"},
                 {"taken_as_given", "stitches, rows and loop length of the blank, creep, colours, the model itself"},
                 {"most_moved_by", {{"verdict", mover_json(sure.verdict_moved_by)}}},
                 {"moved_share", {{"verdict", movers_json(sure.verdict_moved_by)}}}};
    if (sure.pair_mean_de00) json["pair_mean_de00"] = band_json(*sure.pair_mean_de00, 3);
    if (!sure.risk) return json;
    json["pool_risk"] = band_json(sure.risk->asked, 4);
    json["clear_draws"] = sure.risk->clear;
    json["most_moved_by"]["pool_risk"] = mover_json(sure.risk_moved_by);
    json["moved_share"]["pool_risk"] = movers_json(sure.risk_moved_by);
    return json;
}

}  // namespace loopread::cli
