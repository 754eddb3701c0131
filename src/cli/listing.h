#pragma once

#include "cli/command.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `listing IMAGE -o DIR`: pictures and facts for a shop page, and a slip for the parcel; `listing FOLDER -o DIR`: the
/// same for every picture in it.
void add_listing(CLI::App& app, Action& action);

}  // namespace loopread::cli
