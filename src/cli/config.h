#pragma once

#include <string>
#include <vector>

namespace loopread::cli {

/// The arguments with those of a `--config FILE` added: TOML whose keys are option names without the dashes
/// (`stitches = 64`, `mirror = true`, `colour = ["tea=#aa7744"]`). What stands on the command line wins.
/// @throws Error(input) if the file is missing or not TOML, Error(usage) for a value that no option can take
std::vector<std::string> with_config(std::vector<std::string> arguments);

}  // namespace loopread::cli
