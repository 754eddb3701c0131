#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `compare BEFORE AFTER -o DIR`: did edges soften, did colour bleed into the ground, did it fade.
void add_compare(CLI::App& app, Action& action);

}  // namespace loopread::cli
