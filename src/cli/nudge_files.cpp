#include "cli/nudge_files.h"

#include <algorithm>
#include <cmath>

#include "cli/design_files.h"
#include "cli/progress.h"
#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/lay/trials.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

/// The first rounds at the stitch count where it pooled most, before and after.
Picture8 before_and_after(const NudgeTrials& trials, const Knitting& knitting, const Nudge& nudge, std::uint64_t seed) {
    constexpr int kRounds = 90;
    const std::vector<ColourRun> before = trials.runs({});
    const std::vector<ColourRun> after = trials.runs(nudge);
    const int stitches = trials.worst_count(before.front());
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch = std::clamp(700.0 / stitches, 3.0, 12.0);
    const double row = pixels_per_round(drawing, knitting);
    std::vector<FabricPanel> panels;
    const auto add = [&](const ColourRun& run, const std::string& title) {
        panels.push_back({drawn_fabric(plain_piece(run, knitting, stitches, kRounds), knitting, drawing), title,
                          std::to_string(stitches) + " stitches, " +
                              number_text(stitches * knitting.yarn_per_stitch.value / 10, 1) +
                              " cm a round, where it pooled most"});
    };
    add(before.front(), "as drawn");
    add(after.front(), "nudged");
    FabricSheetScale scale;
    scale.pixels_per_cm = drawing.pixels_per_stitch * knitting.gauge.stitches / 10;
    scale.pixels_per_round = row;
    scale.rounds = kRounds;
    scale.counting = knitting.worked() == Worked::in_the_round ? "round" : "row";
    return fabric_sheet(panels, scale);
}

void add_design(NudgeFiles& out, const BlankSource& source, const Paint& paint) {
    out.files.emplace_back("nudged.png", png_bytes(encoded(design_picture(paint, paint.raster.rows))));
    if (!source.design()) return;
    const Design& design = *source.design();
    std::vector<std::string> names;
    for (std::size_t i = 0; i < design.layers.size(); ++i) {
        names.push_back("nudged-stencil-" + std::to_string(i + 1) + ".png");
        out.files.emplace_back(names.back(),
                               png_bytes(stencil_picture(paint.layers[i].amount, design.layers[i].strength)));
    }
    // Turned, a fade or a picture lies as the stencils now do; the new design is the right way up as it is.
    const Lay& lay = source.asked_lay();
    const bool turned = lay.ravel_edge != RavelEdge::top || lay.rotate != QuarterTurn::none || lay.mirror != Mirror::no;
    std::string ground;
    if (design.ground.picture || (turned && design.ground.colours.size() > 1)) {
        ground = "nudged-ground.png";
        out.files.emplace_back(ground, png_bytes(encoded(paint.ground)));
    }
    out.files.emplace_back("nudged.toml", design_toml(design, names, ground));
}

}  // namespace

NudgeFiles nudge_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                       const WindingOptions& winding, const LayPlan& plan) {
    NudgeTrials trials(
        blank_to_knit(blank, knitting, winding), source.paint(source.asked_lay()),
        [&](Paint paint) { return source.crept(std::move(paint)); }, risk_options(plan.chance, plan.seed));
    {
        Progress progress("looking for a small change");
        while (!trials.done()) {
            trials.step();
            if (trials.search().tried > 0) progress.at(trials.search().tried, trials.nudges());
        }
    }
    const NudgeSearch& search = trials.search();
    NudgeFiles out;
    Json greater = Json::array();
    for (const OtherSize& other : trials.other_sizes())
        greater.push_back({{"words", other.words}, {"scale", other.scale}, {"worst_risk", other.worst_risk}});
    out.summary = {{"sentence", found_in_words(trials)},
                   {"clear", search.clear},
                   {"changes", nudge_in_words(search.nudge, trials.motifs())},
                   {"change_cm", rounded(search.nudge.change_cm(), 3)},
                   {"scale", rounded(search.nudge.scale, 4)},
                   {"spacing_across", rounded(search.nudge.spacing_across, 4)},
                   {"spacing_along", rounded(search.nudge.spacing_along, 4)},
                   {"stagger_cm", rounded(search.nudge.stagger_mm / 10, 3)},
                   {"slant_cm_over_10_cm", rounded(10 * search.nudge.slant, 3)},
                   {"worst_risk_before", rounded(search.risk_before, 5)},
                   {"worst_risk", rounded(search.worst_risk, 5)},
                   {"motifs", trials.motifs().motifs.size()},
                   {"tried", search.tried},
                   {"greater_changes", greater}};
    if (!(search.nudge == Nudge{})) {
        add_design(out, source, trials.nudged_paint(search.nudge));
        out.files.emplace_back("nudged-knitted.png",
                               png_bytes(before_and_after(trials, knitting, search.nudge, plan.seed)));
    }
    return out;
}

}  // namespace loopread::cli
