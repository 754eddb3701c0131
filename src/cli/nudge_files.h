#pragma once

#include <string>
#include <utility>
#include <vector>

#include "cli/lay_files.h"

namespace loopread::cli {

/// The least change to a design that keeps it clear of pools, and the design so changed.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct NudgeFiles {
    std::vector<std::pair<std::string, std::string>> files;  ///< name and bytes; none where nothing is to change
    Json summary;
};

/// @param blank  as asked for, from the same source: this lay is what is nudged
NudgeFiles nudge_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                       const WindingOptions& winding, const LayPlan& plan);

}  // namespace loopread::cli
