#include "cli/lay.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/lay_files.h"
#include "cli/nudge_files.h"
#include "cli/option_facts.h"
#include "loopread/base/error.h"

namespace loopread::cli {
namespace {

struct LayOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    ChanceOptions chance;
    std::string aim = "no-pool";
    bool nudge = false;
};

Aim chosen_aim(const std::string& word) {
    if (word == "stripe") return Aim::stripe;
    if (word == "dash") return Aim::dash;
    if (word == "speckle") return Aim::speckle;
    if (word == "no-pool") return Aim::no_pool;
    throw Error(ErrorKind::usage, "--aim: '" + word + "' is not one of stripe, dash, speckle, no-pool");
}

void check_before_reading(const LayOptions& options) {
    chosen_aim(options.aim);
    const Knitting typed = settled(options.knitting, 2);
    risk_options(options.chance, options.common.seed);
    swept_counts(options.chance, typed);
    winding_options(options.blank, options.common.seed);
    if (typed.alternate > 0)
        throw Error(ErrorKind::usage,
                    "--alternate: the ways are judged with one end of yarn a sock; see it with loopread pooling");
    if (typed.shape == "shawl")
        throw Error(ErrorKind::usage,
                    "--shape: no two rows of a shawl are equally long, so nothing stacks; see it with loopread knit");
}

void run_lay(const LayOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    check_before_reading(options);
    const std::uint64_t seed = options.common.seed;
    BlankSource source(options.image, options.blank, outputs, BlankSource::Ways::all);
    const BlankInput blank = source.blank();
    const WindingOptions winding = winding_options(options.blank, seed);
    const Knitting knitting = settled(options.knitting, blank.layout.strands);
    check_enough_to_tell(blank.layout.strand_length(), knitting, options.chance);
    const LayPlan plan{options.chance, chosen_aim(options.aim), seed};
    LayFiles files = lay_files(source, blank, knitting, winding, plan);
    std::vector<std::string> assumed = blank.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    files.summary["assumed"] = assumed;
    std::vector<std::string> warnings = blank.warnings;
    if (source.has_other_side())
        warnings.emplace_back(
            "the picture of the other side shows the blank as it is; laid another way it is not used");
    files.summary["warnings"] = warnings;
    std::string headline = files.summary["sentence"].get<std::string>();
    outputs.add("lays.csv", std::move(files.csv));
    outputs.add("lays_counts.csv", std::move(files.counts_csv));
    outputs.add("lays.png", std::move(files.png));
    if (options.nudge) {
        NudgeFiles nudged = nudge_files(source, blank, knitting, winding, plan);
        for (auto& [name, bytes] : nudged.files) outputs.add(name, std::move(bytes));
        files.summary["nudge"] = nudged.summary;
        headline += "\n" + nudged.summary["sentence"].get<std::string>();
    }
    outputs.add("summary.json", json_bytes(files.summary));
    outputs.write();
    report(out, options.common, files.summary, outputs, headline);
}

}  // namespace

void add_lay(CLI::App& app, Action& action) {
    const auto options = std::make_shared<LayOptions>();
    CLI::App* command = app.add_subcommand("lay", "The 16 ways to lay a design on the blank, best first");
    command->add_option("IMAGE", options->image, "a picture of the blank, or a design.toml")->required();
    add_common(*command, options->common, "folder for lays.csv, lays_counts.csv, lays.png and summary.json");
    command->add_option("--aim", options->aim, "the look you want most of; no-pool puts the fewest pools first")
        ->capture_default_str();
    command->add_flag("--nudge", options->nudge,
                      "also look for the least change to the design that stays clear of pools in any round of 75 to "
                      "100 cm of yarn");
    say_values(*command, {{"--aim", "stripe|dash|speckle|no-pool"}});
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    add_chance(*command, options->chance);
    add_examples(
        *command,
        {{{"The least change to a design that keeps every customer clear of pools",
           "loopread lay samples/lanterns.toml --nudge -o out/lay"},
          {"Which way round gives the most speckle", "loopread lay samples/gulls.png --aim speckle -o out/gulls"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_lay(*options, out); }; });
}

}  // namespace loopread::cli
