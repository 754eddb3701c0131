#include "cli/dyetable.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/summary.h"
#include "cli/table_document.h"
#include "loopread/base/error.h"
#include "loopread/report/dye_table.h"

namespace loopread::cli {
namespace {

struct DyetableOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
};

/// The page with the blank on it, or with its own design where no picture was given.
std::string page_for(const DyetableOptions& options, Outputs& outputs, Json& summary) {
    const std::string_view page = dye_table_page();
    if (page.empty())
        throw Error(ErrorKind::usage,
                    "dyetable: this program was built without the page; build it with -DLOOPREAD_PAGE=ON");
    if (options.image.empty()) return std::string(page);
    const Knitting typed = settled(options.knitting, 2);  // slips are told before any picture is read
    const BlankSource source(options.image, options.blank, outputs, BlankSource::Ways::all);
    summary["blank"] = blank_json(source.layout());
    TableStart start{.title = options.image.stem().string(),
                     .blank = options.blank,
                     .knitting = options.knitting,
                     .settled = typed,
                     .seed = options.common.seed};
    return with_start_state(page, table_document(source, source.layout(), start));
}

void run_dyetable(const DyetableOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_file(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    Json summary = Json::object();
    outputs.add_only(page_for(options, outputs, summary));
    outputs.write();
    report(out, options.common, summary, outputs,
           "Open " + options.common.output.string() + " in a browser; it needs nothing else.");
}

}  // namespace

void add_dyetable(CLI::App& app, Action& action) {
    const auto options = std::make_shared<DyetableOptions>();
    CLI::App* command = app.add_subcommand("dyetable", "The whole tool as one page that works offline");
    command->add_option("IMAGE", options->image, "a picture of a blank, or a design.toml, to start from");
    add_common(*command, options->common, "the page, like table.html");
    say_values(*command, {{"--output", "FILE.html"}});
    add_blank(*command, options->blank);
    options->knitting.shape = "sock";
    add_knitting(*command, options->knitting);
    add_examples(*command, {{{"The dye table, to paint on in a browser", "loopread dyetable -o dye-table.html"},
                             {"The same with a design on it, to send to somebody",
                              "loopread dyetable samples/lanterns.toml -o out/lanterns.html"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_dyetable(*options, out); }; });
}

}  // namespace loopread::cli
