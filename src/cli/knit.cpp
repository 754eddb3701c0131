#include "cli/knit.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>

#include "cli/doubt_summary.h"
#include "cli/examples.h"
#include "cli/look.h"
#include "cli/option_facts.h"
#include "cli/yarn_input.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/doubt/words.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

struct KnitCommandOptions {
    std::filesystem::path input;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    DoubtOptions doubt;
};

/// Single loops show, and the sheet stays a picture that any viewer opens.
FabricDrawing drawing_for(const Knitting& knitting, std::size_t balls, std::uint64_t seed) {
    constexpr double kWidest = 2400;   // pixels for all balls
    constexpr double kTallest = 9000;  // pixels
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch = std::clamp(kWidest / static_cast<double>(balls) / knitting.stitches, 3.0, 16.0);
    const double row = pixels_per_round(drawing, knitting);
    drawing.most_rounds = std::max(1, static_cast<int>(kTallest / row));
    return drawing;
}

Picture8 picture_of(const std::vector<KnittedBall>& balls, const Knitting& knitting, const YarnInput& yarn,
                    std::uint64_t seed) {
    if (!knitting.laid_flat()) return knitted_sheet(balls, knitting, drawing_for(knitting, balls.size(), seed));
    // A sock is drawn so that single loops show; a shawl may be a metre wide.
    FlatDrawing drawing;
    drawing.seed = seed;
    const double width_cm = knitting.shape == "shawl" ? 10.0 * knitting.stitches / knitting.gauge.stitches : 30;
    drawing.pixels_per_cm = std::clamp(1200.0 / width_cm, 8.0, 40.0);
    return laid_flat_sheet(balls, knitting, yarn.blank ? yarn.blank->layout.rows : 0, drawing);
}

std::string headline(const std::vector<KnittedBall>& balls, const Knitting& knitting) {
    const std::string yarn = number_text(knitting.yarn_per_round().value / 10, 1) + " cm of yarn ";
    if (knitting.laid_flat())
        return "Knitted: a " + knitting.shape + " of " + std::to_string(knitting.stitches) + " stitches, " + yarn +
               (knitting.shape == "shawl" ? "in the longest row; " : "in a round; ") +
               yarn_left_in_words(balls.front(), knitting) + ".";
    return "Knitted: " + std::to_string(balls.front().fabric.rounds.size()) +
           (knitting.worked() == Worked::back_and_forth ? " rows" : " rounds") + " of " +
           std::to_string(knitting.stitches) + " stitches, " + yarn + "each.";
}

/// The how_sure of the summary; null where it is not asked for or there is nothing to say.
Json sureness_of(const KnitCommandOptions& options, const YarnInput& yarn, const Knitting& knitting) {
    if (options.doubt.draws == 0) return nullptr;
    Doubts doubts(yarn.blank ? &*yarn.blank : nullptr, yarn.strands,
                  winding_options(options.blank, options.common.seed));
    doubts.settle(options.blank, options.knitting, knitting);
    if (doubts.all_known()) return {{"sentence", nothing_to_guess()}};
    const std::optional<HowSure> sure = doubts.how_sure(knitting, options.doubt.draws);
    return sure ? how_sure_json(*sure, doubts, knitting, look_sureness(*sure, finding_out_by_options)) : Json(nullptr);
}

void run_knit(const KnitCommandOptions& options, std::ostream& out) {
    if (!options.common.output.has_filename())
        throw Error(ErrorKind::usage, "-o: '" + options.common.output.string() +
                                          "' is a folder; name the picture, like " +
                                          (options.common.output / "fabric.png").string());
    Outputs outputs = Outputs::into_file(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    settled(options.knitting, 2);  // a slip in the knitting is told before any picture is read
    check_doubt(options.doubt);
    const YarnInput yarn = read_yarn(options.input, options.blank, options.common.seed, outputs);
    const Knitting knitting = settled(options.knitting, static_cast<int>(yarn.strands.size()));
    const std::vector<KnittedBall> balls = knitted_balls(yarn.strands, knitting);
    auto sureness = begun([&] { return sureness_of(options, yarn, knitting); });
    outputs.add_only(png_bytes(picture_of(balls, knitting, yarn, options.common.seed)));
    Json summary = {{"knitting", knitting_with_looks_json(knitting, balls, looks_of(balls, knitting))}};
    summary["look"] = summary["knitting"]["balls"][0]["look"];
    std::vector<std::string> assumed = yarn.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    summary["assumed"] = assumed;
    std::vector<std::string> warnings = yarn.warnings;
    const std::vector<std::string> of_knitting = knitting_warnings(balls, knitting);
    warnings.insert(warnings.end(), of_knitting.begin(), of_knitting.end());
    summary["warnings"] = warnings;
    std::string words = headline(balls, knitting);
    if (const Json sure = sureness.get(); !sure.is_null()) {
        summary["how_sure"] = sure;
        words += "\n" + summary["look"]["sentence"].get<std::string>() + "\n" + sure["sentence"].get<std::string>();
    }
    outputs.write();  // last, so that a fault in the words leaves no picture either
    report(out, options.common, summary, outputs, words);
}

}  // namespace

void add_knit(CLI::App& app, Action& action) {
    const auto options = std::make_shared<KnitCommandOptions>();
    CLI::App* command = app.add_subcommand("knit", "What a blank or a yarn knits up as: fabric, socks, a hat and more");
    command->add_option("INPUT", options->input, "a picture of the blank, a design.toml or a yarn.csv")->required();
    add_common(*command, options->common, "the picture, a .png");
    say_values(*command, {{"--output", "FILE.png"}});
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    add_doubt(*command, options->doubt);
    add_examples(*command,
                 {{{"A pair of socks of 72 stitches with a short-row heel",
                    "loopread knit samples/rope.csv --shape sock --stitches 72 --heel short-row -o out/rope.png"},
                   {"A cowl at a customer's own gauge",
                    "loopread knit samples/nets.png --shape cowl --gauge 28x38 -o out/cowl.png"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_knit(*options, out); }; });
}

}  // namespace loopread::cli
