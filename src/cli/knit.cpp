#include "cli/knit.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>

#include "cli/summary.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

struct KnitCommandOptions {
    std::filesystem::path input;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
};

/// Single loops show, and the sheet stays a picture that any viewer opens.
FabricDrawing drawing_for(const Knitting& knitting, std::size_t balls, std::uint64_t seed) {
    constexpr double kWidest = 2400;   // pixels for all balls
    constexpr double kTallest = 9000;  // pixels
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch = std::clamp(kWidest / static_cast<double>(balls) / knitting.stitches, 3.0, 16.0);
    const double row = drawing.pixels_per_stitch * (knitting.gauge.row_height() / knitting.gauge.stitch_width());
    drawing.most_rounds = std::max(1, static_cast<int>(kTallest / row));
    return drawing;
}

void run_knit(const KnitCommandOptions& options, std::ostream& out) {
    if (!options.common.output.has_filename())
        throw Error(ErrorKind::usage, "-o: '" + options.common.output.string() +
                                          "' is a folder; name the picture, like " +
                                          (options.common.output / "fabric.png").string());
    Outputs outputs = Outputs::into_file(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const YarnInput yarn = read_yarn(options.input, options.blank, options.common.seed, outputs);
    const Knitting knitting = settled(options.knitting, static_cast<int>(yarn.strands.size()));
    const std::vector<KnittedBall> balls = knitted_balls(yarn.strands, knitting);
    outputs.add_only(
        png_bytes(knitted_sheet(balls, knitting, drawing_for(knitting, balls.size(), options.common.seed))));
    outputs.write();
    Json summary = {{"knitting", knitting_json(knitting, balls)}};
    std::vector<std::string> assumed = yarn.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    summary["assumed"] = assumed;
    std::vector<std::string> warnings = yarn.warnings;
    const std::vector<std::string> about_drawing = drawing_warnings(knitting);
    warnings.insert(warnings.end(), about_drawing.begin(), about_drawing.end());
    summary["warnings"] = warnings;
    report(out, options.common, summary, outputs,
           "Knitted: " + std::to_string(balls.front().fabric.rounds.size()) +
               (knitting.shape == "flat" ? " rows" : " rounds") + " of " + std::to_string(knitting.stitches) +
               " stitches, " + number_text(knitting.yarn_per_round().value / 10, 1) + " cm of yarn each.");
}

}  // namespace

void add_knit(CLI::App& app, Action& action) {
    const auto options = std::make_shared<KnitCommandOptions>();
    CLI::App* command = app.add_subcommand("knit", "The fabric that a blank or a yarn knits up as");
    command->add_option("INPUT", options->input, "a picture of the blank, a design.toml or a yarn.csv")->required();
    add_common(*command, options->common, "the picture, a .png");
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    command->callback([options, &action] { action = [options](std::ostream& out) { run_knit(*options, out); }; });
}

}  // namespace loopread::cli
