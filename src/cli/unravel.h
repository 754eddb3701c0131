#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `unravel IMAGE -o DIR`: blank to colour run, each strand.
void add_unravel(CLI::App& app, Action& action);

}  // namespace loopread::cli
