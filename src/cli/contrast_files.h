#pragma once

#include <string>
#include <utility>
#include <vector>

#include "cli/blank_input.h"
#include "cli/summary.h"
#include "loopread/overdye/visible.h"

namespace loopread::cli {

struct ContrastPlan {
    double lost_under = kLostUnder;
    int colours = 8;  ///< that the picture is reduced to
    std::uint64_t seed = 1;
};

/// What `contrast` finds out and writes.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct ContrastFiles {
    std::vector<std::pair<std::string, std::string>> files;  ///< name and bytes
    Json summary;
};

/// @param painted  as put on, before it creeps
/// @param blank    the same, ready to be unravelled
/// @param strands  its yarn
struct ContrastInput {
    const BlankSource& source;
    const Paint& painted;
    const BlankInput& blank;
    const std::vector<ColourRun>& strands;
    double yarn_per_stitch_mm = 13;
    WindingOptions winding = {};
};
ContrastFiles contrast_files(const ContrastInput& input, const ContrastPlan& plan);

}  // namespace loopread::cli
