#include "cli/overdye.h"

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/overdye_files.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct OverdyeOptions {
    CommonOptions common;
    BlankOptions blank;
    DyeingOptions dyeing;
    double lost_under = kLostUnder;
};

OverdyePlan plan_of(const OverdyeOptions& options) {
    OverdyePlan plan;
    const std::string& order = options.dyeing.order;
    if (order == "base-first")
        plan.orders = DyeingOrders::base_first;
    else if (order == "stencil-first")
        plan.orders = DyeingOrders::stencil_first;
    else if (!order.empty())
        throw Error(ErrorKind::usage, "--order: '" + order + "' is not one of base-first, stencil-first");
    if (options.dyeing.strike) {
        plan.strike = *options.dyeing.strike;
        if (!(plan.strike >= 0 && plan.strike <= 1))
            throw Error(ErrorKind::usage, "--strike: must lie between 0 and 1");
    }
    plan.lost_under = options.lost_under;
    if (!(plan.lost_under > 0 && plan.lost_under <= 100))
        throw Error(ErrorKind::usage, "--lost-under: must be over 0 and at most 100; black is 0, white 100");
    return plan;
}

void tell_of_strike(const OverdyeOptions& options, const OverdyePlan& plan, OverdyeInput& input) {
    if (plan.orders == DyeingOrders::base_first) {
        if (options.dyeing.strike)
            input.warnings.emplace_back(
                "--strike: is for stencils put on before the bath; dipped first it is not used");
        return;
    }
    if (!options.dyeing.strike)
        input.assumed.emplace_back(
            "all of the stencil dye is fixed before the bath (strike 1, not measured; --strike 0.8 if a fifth washes "
            "out)");
    else if (plan.strike < 1)
        input.assumed.emplace_back(
            "what washes out spreads evenly over the blank, counted as if the paste had dyed right through");
}

void run_overdye(const OverdyeOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const OverdyePlan plan = plan_of(options);
    OverdyeInput input = read_overdye(options.dyeing, options.blank, options.common.seed, outputs);
    tell_of_strike(options, plan, input);
    OverdyeFiles files = overdye_files(input, plan);
    for (auto& [name, bytes] : files.files) outputs.add(name, std::move(bytes));
    files.summary["assumed"] = input.assumed;
    files.summary["warnings"] = input.warnings;
    outputs.add("summary.json", json_bytes(files.summary));
    outputs.write();
    report(out, options.common, files.summary, outputs, files.summary["sentence"].get<std::string>());
}

}  // namespace

void add_overdye(CLI::App& app, Action& action) {
    const auto options = std::make_shared<OverdyeOptions>();
    CLI::App* command = app.add_subcommand(
        "overdye", "A stencil in several strengths, over a bath and under it, before any dye is mixed");
    add_common(*command, options->common,
               "folder for design.toml, design.png, its stencils, strengths.csv, orders.png and summary.json");
    const std::string group = "The dyes";
    DyeingOptions& dyeing = options->dyeing;
    command
        ->add_option(
            "--stencil", dyeing.stencils,
            "a stencil, its colour at full strength, and how strong it is put on: black is dyed; @STRENGTH may be left "
            "out; once for each stencil")
        ->allow_extra_args(false)
        ->group(group);
    command->add_option("--strengths", dyeing.strengths, "parts of the paste at full strength, like 1,1/2,1/4")
        ->group(group);
    command
        ->add_option("--even-steps", dyeing.even_steps,
                     "work out so many strengths that step evenly in lightness on this ground")
        ->group(group);
    command
        ->add_option(
            "--ground-as", dyeing.ground_as,
            "how several ground colours lie: fading along from the ravel edge, fading across, or in patches (along)")
        ->group(group);
    command->add_option("--order", dyeing.order, "dip before the stencil, or after (both are shown)")->group(group);
    command
        ->add_option("--strike", dyeing.strike,
                     "the part of the stencil dye that is fixed before the bath; the rest washes into it (1)")
        ->group(group);
    command
        ->add_option(
            "--lost-under", options->lost_under,
            "a motif is lost if it is lighter or darker than its ground by less than this; black is 0, white 100")
        ->capture_default_str()
        ->group(group);
    add_blank(*command, options->blank);
    command->get_option("--ground")
        ->description("the bath: none, one colour or several, like blue-1,teal-3, or a picture");
    say_values(*command, {{"--stencil", "FILE=COLOUR@STRENGTH"},
                          {"--strengths", "PARTS"},
                          {"--strike", "SHARE"},
                          {"--ground", "undyed|COLOURS|FILE"},
                          {"--ground-as", "along|across|broken"},
                          {"--order", "base-first|stencil-first"}});
    add_examples(*command, {{{"One stencil in three strengths on a blue fade, either order",
                              "loopread overdye --stencil samples/lanterns-stencil-1.png=red-1 --strengths 1,1/2,1/4 "
                              "--ground blue-3,teal-3 -o out/overdye"},
                             {"Four strengths in even steps, dipped first",
                              "loopread overdye --stencil samples/lanterns-stencil-1.png=red-1 --even-steps 4 --ground "
                              "teal-3 --order base-first -o out/steps"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_overdye(*options, out); }; });
}

}  // namespace loopread::cli
