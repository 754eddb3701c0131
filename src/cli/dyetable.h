#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `dyetable -o FILE.html`: the whole tool as one page that works offline.
void add_dyetable(CLI::App& app, Action& action);

}  // namespace loopread::cli
