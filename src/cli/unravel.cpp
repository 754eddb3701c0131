#include "cli/unravel.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/photo_findings.h"
#include "cli/strand_files.h"
#include "cli/yarn_input.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct UnravelOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    std::string save_base;
};

void run_unravel(const UnravelOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const BlankInput blank = read_blank(options.image, options.blank, outputs);
    const WindingOptions winding = winding_options(options.blank, options.common.seed);
    const Knitting knitting = settled(options.knitting, blank.layout.strands);
    const std::vector<ColourRun> strands = unravelled(blank, winding);
    StrandFiles files = strand_files(blank, strands, knitting, winding);
    Json& summary = files.summary;
    const PhotoFindings findings = photo_findings(blank, options.blank, options.save_base);
    findings.add_to(outputs);
    findings.add_to(summary);
    outputs.add("yarn.csv", std::move(files.yarn_csv));
    outputs.add("runs.csv", std::move(files.runs_csv));
    outputs.add("strands.png", std::move(files.strands_png));
    outputs.add("summary.json", json_bytes(summary));
    outputs.write();
    report(out, options.common, summary, outputs,
           "Unravelled: " + std::to_string(strands.size()) + (strands.size() == 1 ? " strand of " : " strands of ") +
               number_text(strands.front().length_mm() / 1000, 1) + " m; one row of the blank is " +
               number_text(summary["rounds_per_row"].get<double>(), 2) + " rounds of " +
               std::to_string(knitting.stitches) + " stitches." + findings.words);
}

}  // namespace

void add_unravel(CLI::App& app, Action& action) {
    const auto options = std::make_shared<UnravelOptions>();
    CLI::App* command = app.add_subcommand("unravel", "The colours along the yarn of a blank, ball by ball");
    command->add_option("IMAGE", options->image, "a picture of the blank, or a design.toml")->required();
    add_common(*command, options->common, "folder for yarn.csv, runs.csv, strands.png and summary.json");
    add_blank(*command, options->blank);
    add_save_base(*command, options->save_base);
    add_knitting(*command, options->knitting);
    add_examples(*command,
                 {{{"The colours along the yarn of a blank that was measured",
                    "loopread unravel samples/tide-lines.png --size 24x86cm --strand-length 211m -o out/tide-lines"},
                   {"Of a blank that the dye went right through",
                    "loopread unravel samples/nets.png --penetration 1 -o out/nets"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_unravel(*options, out); }; });
}

}  // namespace loopread::cli
