#include "cli/listing.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/listing_facts.h"
#include "cli/listing_folder.h"
#include "cli/listing_knitter.h"
#include "cli/listing_set.h"
#include "cli/option_facts.h"
#include "loopread/base/error.h"

namespace loopread::cli {
namespace {

void run_one(const ListingOptions& options, const ListingRequest& request, Outputs& outputs, std::ostream& out) {
    const ListingSet set = listing_set(options.image, options, request, outputs);
    outputs.write();
    report(out, options.common, set.summary, outputs,
           set.facts.title + ": " + look_in_words(set.facts) + "\nLook at " +
               (options.common.output / "contact-sheet.jpg").string() + "\n" + knitter_in_words(options));
}

void run_listing(const ListingOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const ListingRequest request = listing_request(options, outputs);
    const Knitting typed = settled(options.knitting, 2);  // slips are told before any picture is read
    risk_options(options.chance, options.common.seed);
    if (typed.shape != "sock")
        throw Error(ErrorKind::usage, "--shape: a listing shows a pair of socks; see other shapes with loopread knit");
    if (typed.alternate > 0)
        throw Error(ErrorKind::usage, "--alternate: see it with loopread pooling or loopread knit");
    std::error_code fault;
    if (std::filesystem::is_directory(options.image, fault))
        run_folder(options, request, out);
    else
        run_one(options, request, outputs, out);
}

void add_pictures(CLI::App& command, SkeinOptions& options) {
    const auto option = [&](const std::string& name, std::string& value, const std::string& text) {
        return command.add_option(name, value, text)->group("The pictures")->capture_default_str();
    };
    command.add_option("--pixels", options.pixels, "longer side of each picture, in pixels")
        ->group("The pictures")
        ->capture_default_str();
    option("--aspect", options.aspect, "width to height of each picture");
    option("--on", options.on, "what things lie on");
    option("--girth", options.girth, "once round the reel of the skein");
    option("--ball", options.ball_weight, "weight of one ball (50g; of one strand 100g)");
    say_values(command, {{"--aspect", "square|4:3|4:5"},
                         {"--on", "white|linen|slate|COLOUR"},
                         {"--girth", "LENGTH"},
                         {"--ball", "WEIGHT"}});
}

void add_words(CLI::App& command, ListingOptions& options) {
    const std::string group = "The shop page";
    command.add_option("--title", options.title, "name of the colourway (the file's name)")->group(group);
    command.add_option("--maker", options.maker, "who dyed it")->group(group);
    command.add_option("--words", options.words, "your own words about it")->group(group);
    command
        .add_option(
            "--names", options.names,
            "names for its colours, one a line, like '#2f7d9b = Harbour'; begin with names.txt, which is written here")
        ->group(group);
    command.add_option("--fibre", options.fibre, "fibres with their percentages, like 'wool 75, nylon 25'")
        ->group(group);
    command
        .add_option("--offer", options.offer,
                    "how the buyer gets it: the blank whole, ravelled into balls, or as she likes")
        ->group(group)
        ->capture_default_str();
    command.add_option("--address", options.address, "web address, for the code on the slip and the buyer's page")
        ->group(group);
    say_values(command, {{"--title", "WORDS"},
                         {"--maker", "NAME"},
                         {"--words", "WORDS"},
                         {"--names", "FILE"},
                         {"--fibre", "FIBRES"},
                         {"--offer", "whole|ravelled|both"},
                         {"--address", "ADDRESS"}});
}

}  // namespace

void add_listing(CLI::App& app, Action& action) {
    const auto options = std::make_shared<ListingOptions>();
    CLI::App* command = app.add_subcommand(
        "listing", "Pictures and facts for a shop page, a slip for the parcel, a page for the buyer");
    command->add_option("IMAGE", options->image, "a picture of the blank, a design.toml, or a folder of them")
        ->required();
    add_common(*command, options->common, "folder for the pictures, listing.txt, slip.html and knitter.html");
    add_pictures(*command, options->wound);
    add_words(*command, *options);
    add_blank(*command, options->blank);
    options->knitting.shape = "sock";
    add_knitting(*command, options->knitting);
    command->add_option("--knitters", options->chance.knitters, "simulated knitters behind the pool risk")
        ->group("The shop page")
        ->capture_default_str();
    add_examples(*command,
                 {{{"A folder to upload, with the fibres on the slip",
                    "loopread listing samples/lanterns.toml --fibre 'wool 75, nylon 25' --on linen -o out/listing"},
                   {"Sold as two ravelled balls, under a name of its own",
                    "loopread listing samples/gulls.png --offer ravelled --title 'Gulls on the quay' -o out/gulls"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_listing(*options, out); }; });
}

}  // namespace loopread::cli
