#include "cli/skein.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/skein_pictures.h"
#include "cli/yarn_input.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct SkeinCommandOptions {
    std::filesystem::path input;
    CommonOptions common;
    BlankOptions blank;
    SkeinOptions pictures;
};

std::string headline(const Json& summary) {
    return "The yarn wound up: " + number_text(summary["turns"].get<double>(), 0) + " turns of " +
           number_text(summary["girth_m"].get<double>(), 2) + " m, or a ball " +
           number_text(summary["ball_diameter_cm"].get<double>(), 1) + " cm across.";
}

void run_skein(const SkeinCommandOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const SkeinSettings settings = settled_skein(options.pictures, options.blank);
    const YarnInput yarn = read_yarn(options.input, options.blank, options.common.seed, outputs);
    WoundPictures wound = wound_pictures(yarn, settings, options.blank, options.common.seed);

    Json summary = wound.summary;
    summary["pictures"] = Json::array();
    for (WoundPicture& picture : wound.pictures) {
        outputs.add(picture.name + ".png", std::move(picture.png));
        summary["pictures"].push_back({{"file", picture.name + ".png"}, {"shows", picture.words}});
    }
    summary["notes"] = wound.notes;
    std::vector<std::string> assumed = yarn.assumed;
    assumed.insert(assumed.end(), wound.assumed.begin(), wound.assumed.end());
    summary["assumed"] = assumed;
    summary["warnings"] = yarn.warnings;
    outputs.add("summary.json", json_bytes(summary));
    outputs.write();
    report(out, options.common, summary, outputs, headline(summary));
    if (!options.common.json)
        for (const std::string& note : wound.notes) out << "Note: " << note << '\n';
}

}  // namespace

void add_skein(CLI::App& app, Action& action) {
    const auto options = std::make_shared<SkeinCommandOptions>();
    CLI::App* command =
        app.add_subcommand("skein", "The yarn as a skein, hank, balls and cake; the blank half ravelled");
    command->add_option("INPUT", options->input, "a picture of the blank, a design.toml or a yarn.csv")->required();
    add_common(*command, options->common, "folder for skein.png, hank.png, ball.png, cake.png and more");
    add_skein_pictures(*command, options->pictures);
    add_blank(*command, options->blank);
    add_examples(
        *command,
        {{{"Every picture of the yarn of a new colourway", "loopread skein samples/lanterns.toml -o out/skein"},
          {"Only ball and cake, on linen, of a yarn typed by hand",
           "loopread skein samples/rope.csv --only ball --only cake --on linen -o out/balls"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_skein(*options, out); }; });
}

}  // namespace loopread::cli
