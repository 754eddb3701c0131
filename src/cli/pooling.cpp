#include "cli/pooling.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/pooling_files.h"
#include "cli/yarn_input.h"
#include "loopread/base/error.h"

namespace loopread::cli {
namespace {

struct PoolingOptions {
    std::filesystem::path input;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    ChanceOptions chance;
    DoubtOptions doubt;
};

void run_pooling(const PoolingOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const Knitting typed = settled(options.knitting, 2);  // slips are told before any picture is read
    risk_options(options.chance, options.common.seed);
    swept_counts(options.chance, typed);
    check_doubt(options.doubt);
    if (typed.shape == "shawl")
        throw Error(ErrorKind::usage,
                    "--shape: no two rows of a shawl are equally long, so nothing stacks; see it with loopread knit");
    const YarnInput yarn = read_yarn(options.input, options.blank, options.common.seed, outputs);
    const Knitting knitting = settled(options.knitting, static_cast<int>(yarn.strands.size()));
    Doubts doubts(yarn.blank ? &*yarn.blank : nullptr, yarn.strands,
                  winding_options(options.blank, options.common.seed));
    doubts.settle(options.blank, options.knitting, knitting);
    PoolingFiles files =
        pooling_files(yarn.strands, knitting, {options.chance, options.common.seed, &doubts, options.doubt.draws});
    std::vector<std::string> assumed = yarn.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    files.summary["assumed"] = assumed;
    files.summary["warnings"] = yarn.warnings;
    outputs.add("pooling.csv", std::move(files.csv));
    outputs.add("pooling.png", std::move(files.png));
    outputs.add("summary.json", json_bytes(files.summary));
    outputs.write();
    std::string words = files.summary["sentence"].get<std::string>();
    if (files.summary.contains("how_sure")) words += "\n" + files.summary["how_sure"]["sentence"].get<std::string>();
    report(out, options.common, files.summary, outputs, words);
}

}  // namespace

void add_pooling(CLI::App& app, Action& action) {
    const auto options = std::make_shared<PoolingOptions>();
    CLI::App* command = app.add_subcommand("pooling", "Which round lengths pool, and which are safe to knit");
    command->add_option("INPUT", options->input, "a picture of the blank, a design.toml or a yarn.csv")->required();
    add_common(*command, options->common, "folder for pooling.csv, pooling.png and summary.json");
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    add_chance(*command, options->chance);
    add_doubt(*command, options->doubt);
    add_examples(*command, {{{"Which round lengths pool, and which are safe to name in the shop",
                              "loopread pooling samples/lanterns.toml --stitches 64 -o out/pooling"},
                             {"What changing between two ends of yarn every two rounds does",
                              "loopread pooling samples/nets.png --alternate 2 --counts 56-72 -o out/nets"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_pooling(*options, out); }; });
}

}  // namespace loopread::cli
