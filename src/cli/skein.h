#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `skein INPUT -o DIR`: the yarn as a twisted skein, a hank, balls and a cake, and the blank half ravelled.
void add_skein(CLI::App& app, Action& action);

}  // namespace loopread::cli
