#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

void add_dye(CLI::App& app, Action& action);

}  // namespace loopread::cli
