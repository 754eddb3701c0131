#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cli/blank_input.h"
#include "cli/summary.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// `--save-base FILE`, of the commands that tell how far dye went.
void add_save_base(CLI::App& command, std::string& save_base);

/// What a command shows of the photos it read.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct PhotoFindings {
    std::vector<std::pair<std::string, std::string>> pictures;  ///< names and bytes: what was taken for the blank
    std::optional<std::pair<std::string, std::string>> base;    ///< path and bytes of --save-base
    Json show_through;                                          ///< null where only one side was photographed
    std::string words;                                          ///< of both sides, each line after a line break
    std::vector<std::string> warnings;

    void add_to(Outputs& outputs) const;
    void add_to(Json& summary) const;
};
/// @throws Error(usage) for --save-base without --other-side
PhotoFindings photo_findings(const BlankInput& blank, const BlankOptions& options, const std::string& save_base);

}  // namespace loopread::cli
