#include "cli/contrast.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/contrast_files.h"
#include "cli/examples.h"
#include "cli/yarn_input.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct ContrastOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    double lost_under = kLostUnder;
    int palette = 8;
};

ContrastPlan plan_of(const ContrastOptions& options) {
    if (!(options.lost_under > 0 && options.lost_under <= 100))
        throw Error(ErrorKind::usage, "--lost-under: must be over 0 and at most 100; black is 0, white 100");
    if (options.palette < 2 || options.palette > 24)
        throw Error(ErrorKind::usage, "--palette: must lie between 2 and 24 colours");
    return {options.lost_under, options.palette, options.common.seed};
}

void run_contrast(const ContrastOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const ContrastPlan plan = plan_of(options);
    settled(options.knitting, 2);  // slips are told before any picture is read
    const WindingOptions winding = winding_options(options.blank, options.common.seed);
    BlankSource source(options.image, options.blank, outputs);
    const Paint painted = source.paint(source.asked_lay());
    const BlankInput blank = source.blank();
    const Knitting knitting = settled(options.knitting, blank.layout.strands);
    const std::vector<ColourRun> strands = unravelled(blank, winding);
    ContrastFiles files =
        contrast_files({source, painted, blank, strands, knitting.yarn_per_stitch.value, winding}, plan);
    for (auto& [name, bytes] : files.files) outputs.add(name, std::move(bytes));
    std::vector<std::string> assumed = blank.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    if (!source.design())
        assumed.emplace_back(
            "for what would help, the darker of two colours is taken as the lighter one with dye on top");
    files.summary["assumed"] = assumed;
    std::vector<std::string> warnings = blank.warnings;
    if (blank.corners)
        warnings.emplace_back(
            "a photo has soft edges and what is left of the loops' shade: small lost edges may be either; a design "
            "tells "
            "more surely");
    files.summary["warnings"] = warnings;
    outputs.add("summary.json", json_bytes(files.summary));
    outputs.write();
    report(out, options.common, files.summary, outputs, files.summary["sentence"].get<std::string>());
}

}  // namespace

void add_contrast(CLI::App& app, Action& action) {
    const auto options = std::make_shared<ContrastOptions>();
    CLI::App* command = app.add_subcommand("contrast", "Whether motifs hold against their ground, dyed and knitted");
    command->add_option("IMAGE", options->image, "a picture of the blank, or a design.toml")->required();
    add_common(*command, options->common, "folder for grey.png, contrast.csv, lost-edges.png and summary.json");
    command
        ->add_option(
            "--lost-under", options->lost_under,
            "an edge is lost if one side is lighter or darker than the other by less than this; black is 0, white 100")
        ->capture_default_str();
    command->add_option("--palette", options->palette, "colours that the picture is brought down to")
        ->capture_default_str();
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    add_examples(*command,
                 {{{"Whether each motif holds on its ground, before any dye is mixed",
                    "loopread contrast samples/lanterns.toml -o out/contrast"},
                   {"A painted picture with five colours, knitted with 72 stitches",
                    "loopread contrast samples/tide-lines.png --palette 5 --stitches 72 -o out/tide-lines"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_contrast(*options, out); }; });
}

}  // namespace loopread::cli
