#include "cli/dye.h"

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>
#include <sstream>

#include "cli/dye_input.h"
#include "cli/dye_record.h"
#include "cli/dye_summary.h"
#include "cli/examples.h"
#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/report/dye_card.h"

namespace loopread::cli {
namespace {

constexpr const char* kCardName = "dye-card.html";

/// The figures of a record stand in it as comments, for people; the cautions go with them.
std::string record_head(const Recipe& recipe) {
    std::string head =
        "# What a colourway was dyed with. To dye it again, also another weight:\n"
        "#   loopread dye --from-record THIS-FILE --fibre 250g\n#\n";
    std::istringstream lines(recipe_lines(recipe));
    for (std::string line; std::getline(lines, line);) head += "# " + line + "\n";
    return head + "\n";
}

std::string card_title(const DyeOptions& options, const std::optional<DyedDesign>& design) {
    if (design) return design->name;
    return options.batch.empty() ? "Dye card" : options.batch;
}

void check_record_place(const DyeOptions& options) {
    if (options.record.empty() || options.common.output.empty()) return;
    const auto place = [](const std::filesystem::path& file) {
        return std::filesystem::absolute(file).lexically_normal();
    };
    if (place(options.record) == place(options.common.output / kCardName))
        throw Error(ErrorKind::usage,
                    "--record: is the card itself; give the record a name of its own, like batch.toml");
}

/// Into a folder, or without one beside wherever the record goes.
Outputs outputs_of(const DyeOptions& options) {
    const bool record_only = options.common.output.empty() && !options.record.empty();
    Outputs outputs = record_only ? Outputs::into_file(options.record) : Outputs::into_folder(options.common.output);
    for (const auto& input : {std::filesystem::path(options.common.config), options.from_record})
        if (!input.empty()) outputs.keep_safe(input);
    return outputs;
}

/// As typed, or as a record says for the weight that was typed beside it.
DyeRequest asked_for(const DyeOptions& options, const RecordRead& record, const std::optional<DyedDesign>& design) {
    const auto fibre_then = record.passed_over.find("fibre");
    const bool facts = record.taken.contains("used") || record.taken.contains("jar");
    if (fibre_then == record.passed_over.end() || !facts) return read_dyeing(options, design);
    const Grams fibre = parsed_weight(options.fibre, "--fibre");
    if (parsed_weight(fibre_then->second, "--fibre") == fibre) return read_dyeing(options, design);
    DyeOptions then = options;
    then.fibre = fibre_then->second;
    return for_other_weight(then, design, fibre);
}

void run_dye(CLI::App& command, DyeOptions& options, std::ostream& out) {
    RecordRead record;
    if (!options.from_record.empty()) record = read_record(command, options.from_record);
    check_record_place(options);
    Outputs outputs = outputs_of(options);
    std::optional<DyedDesign> design;
    if (!options.design.empty()) design = read_dyed_design(options, outputs);
    const DyeRequest dyeing = asked_for(options, record, design);
    Recipe made = recipe(dyeing.request);
    made.assumed.insert(made.assumed.begin(), dyeing.assumed.begin(), dyeing.assumed.end());
    if (design) {
        made.assumed.insert(made.assumed.end(), design->assumed.begin(), design->assumed.end());
        made.warnings.insert(made.warnings.end(), design->warnings.begin(), design->warnings.end());
    }
    if (!options.common.output.empty()) {
        if (card_lines(made) > kMostCardLines)
            made.warnings.push_back("so many dyes and areas may not fit on one page: the card may take two");
        DyeCard card{card_title(options, design), options.batch, options.notes, {}, made};
        if (design) card.picture = design->picture;
        outputs.add(kCardName, dye_card_html(card));
        if (!options.record.empty())
            outputs.add(std::filesystem::absolute(options.record).string(),
                        record_text(command, options.record, record_head(made), dyeing.changed));
    } else if (!options.record.empty()) {
        outputs.add_only(record_text(command, options.record, record_head(made), dyeing.changed));
    }
    if (!outputs.paths().empty()) outputs.write();
    report(out, options.common, recipe_json(made), outputs, recipe_lines(made));
}

}  // namespace

void add_dye(CLI::App& app, Action& action) {
    const auto options = std::make_shared<DyeOptions>();
    CLI::App* command = app.add_subcommand("dye", "How much stock, paste, acid and water; a card to print");
    add_dyeing(*command, *options);
    command->add_option("-o,--output", options->common.output, "folder for dye-card.html; without it nothing is kept");
    say_values(*command, {{"--output", "FOLDER"}});
    add_common(*command, options->common, "");
    add_blank(*command, options->blank);
    add_examples(*command,
                 {{{"How much stock for 100 g of yarn, nothing kept", "loopread dye --fibre 100g --dye sea=0.5%"},
                   {"Everything for a design of layers, with a card to print",
                    "loopread dye --fibre 100g --design samples/lanterns.toml --dye sea=0.5% --dye \"lantern "
                    "bodies=2%\" -o out/dye"}}});
    command->callback([command, options, &action] {
        action = [command, options](std::ostream& out) { run_dye(*command, *options, out); };
    });
}

}  // namespace loopread::cli
