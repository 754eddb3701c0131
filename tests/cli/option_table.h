#pragma once

#include <CLI/CLI.hpp>
#include <vector>

#include "cli/command.h"
#include "cli/run.h"

namespace loopread::program_test {

/// The table of options as the program has it.
struct Table {
    CLI::App app;
    cli::Action action;
    Table() { cli::set_up(app, action); }
    std::vector<const CLI::App*> commands() const {
        const CLI::App& table = app;
        return table.get_subcommands([](const CLI::App*) { return true; });
    }
};

}  // namespace loopread::program_test
