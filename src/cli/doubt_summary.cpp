#include "cli/doubt_summary.h"

#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

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

}  // namespace

std::string finding_out_by_options(Unmeasured what) {
    switch (what) {
        case Unmeasured::wrap:
            return "how far paint goes round a thread: photograph both sides (--other-side), or ravel a corner and "
                   "set --wrap";
        case Unmeasured::penetration:
            return "how far dye goes into the yarn hidden in the loops: photograph both sides (--other-side), or ravel "
                   "a corner and set --penetration";
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
