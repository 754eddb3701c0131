#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `preview IMAGE -o DIR`: everything that needs no further facts, and a page that shows it.
void add_preview(CLI::App& app, Action& action);

}  // namespace loopread::cli
