#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `knit INPUT -o PICTURE.png`: the fabric at a stitch count and shape.
void add_knit(CLI::App& app, Action& action);

}  // namespace loopread::cli
