#pragma once

#include <iosfwd>

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// The table of all commands and options, from which the parse, the help, the manual and the completion are made.
/// @param action  set by a parse to what was asked for; outlives the app
void set_up(CLI::App& app, Action& action);

/// The whole program: 0 done, 2 wrong usage, 3 unusable input, 4 cannot write, 70 a fault of ours.
int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace loopread::cli
