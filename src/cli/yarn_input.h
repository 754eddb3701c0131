#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/blank_input.h"
#include "loopread/unravel/unravelled.h"
#include "loopread/yarn/run.h"

namespace loopread::cli {

/// Whatever a command can knit: a blank unravelled, or a yarn file.
struct YarnInput {
    std::vector<ColourRun> strands;
    std::optional<BlankInput> blank;  ///< none for a yarn file
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};
YarnInput read_yarn(const std::filesystem::path& input, const BlankOptions& options, std::uint64_t seed,
                    Outputs& outputs);

/// The strands of a blank.
std::vector<ColourRun> unravelled(const BlankInput& blank, const WindingOptions& winding);
/// The same as if the paint had gone through and through: what the side that took it looks like.
std::vector<ColourRun> dyed_through(BlankInput blank, const WindingOptions& winding);

}  // namespace loopread::cli
