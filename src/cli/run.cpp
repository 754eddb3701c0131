#include "cli/run.h"

#include <CLI/CLI.hpp>
#include <exception>
#include <new>
#include <ostream>
#include <string>
#include <vector>

#include "cli/command.h"
#include "cli/compare.h"
#include "cli/config.h"
#include "cli/contrast.h"
#include "cli/count.h"
#include "cli/dye.h"
#include "cli/dyetable.h"
#include "cli/help.h"
#include "cli/knit.h"
#include "cli/lay.h"
#include "cli/listing.h"
#include "cli/option_facts.h"
#include "cli/overdye.h"
#include "cli/pooling.h"
#include "cli/preview.h"
#include "cli/scarce_memory.h"
#include "cli/skein.h"
#include "cli/unravel.h"
#include "cli/usage_fault.h"
#include "loopread/base/error.h"

namespace loopread::cli {
namespace {

int told(std::ostream& err, const std::string& message, int code) {
    err << "loopread: " << one_line(message) << '\n';
    return code;
}

int parsed_and_run(int argc, const char* const* argv, std::ostream& out) {
    CLI::App app;
    Action action;
    set_up(app, action);
    std::vector<std::string> arguments = with_config(std::vector<std::string>(argv + 1, argv + argc));
    const std::string first = arguments.empty() ? "" : arguments.front();
    std::reverse(arguments.begin(), arguments.end());  // CLI11 takes them from the back
    try {
        app.parse(arguments);
    } catch (const CLI::Success& success) {  // --help, --version
        app.exit(success, out, out);
        return 0;
    } catch (const CLI::ParseError& fault) {
        const CLI::App* command = &app;
        for (const CLI::App* chosen : app.get_subcommands()) command = chosen;
        if (command == &app && !first.empty() && first.front() != '-')
            throw Error(ErrorKind::usage, "'" + first + "' is not a command; see loopread --help");
        const std::string name = command == &app ? "loopread" : "loopread " + command->get_name();
        throw Error(ErrorKind::usage, usage_fault(fault, *command) + "; see " + name + " --help");
    }
    action(out);
    return 0;
}

}  // namespace

void set_up(CLI::App& app, Action& action) {
    app.name("loopread");
    app.description("What a painted sock blank will be as yarn and as a sock.");
    app.formatter(help_formatter());
    app.set_help_flag("-h,--help", "show this and stop");
    app.set_version_flag("--version", std::string("loopread ") + LOOPREAD_VERSION, "show the version and stop");
    app.footer("loopread COMMAND --help lists its options and shows two examples.\n");
    app.require_subcommand(1);
    add_preview(app, action);
    add_unravel(app, action);
    add_knit(app, action);
    add_pooling(app, action);
    add_lay(app, action);
    add_contrast(app, action);
    add_count(app, action);
    add_compare(app, action);
    add_overdye(app, action);
    add_dye(app, action);
    add_skein(app, action);
    add_listing(app, action);
    add_dyetable(app, action);
    for (CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
        command->group("Commands");
        say_numbers(*command);
    }
}

int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
    share_one_heap_where_addresses_are_limited();
    try {
        const int code = parsed_and_run(argc, argv, out);
        if (!out.flush())
            throw Error(ErrorKind::output,
                        "standard output: cannot be written (the disk may be full); send it elsewhere");
        return code;
    } catch (const Error& fault) {
        return told(err, fault.what(), exit_code(fault.kind()));
    } catch (const std::bad_alloc&) {
        return told(err, "not enough memory for this picture; make it smaller and try again",
                    exit_code(ErrorKind::input));
    } catch (const std::exception& fault) {
        return told(err, std::string("a fault of the program, please report it: ") + fault.what(), kInternalFaultExit);
    }
}

}  // namespace loopread::cli
