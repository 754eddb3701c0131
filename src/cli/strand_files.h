#pragma once

#include <vector>

#include "cli/summary.h"

namespace loopread::cli {

/// What unravelling writes: yarn.csv, runs.csv, strands.png and summary.json.
// NOLINTNEXTLINE(bugprone-exception-escape): the JSON type allocates when it is moved from, nothing of ours throws
struct StrandFiles {
    std::string yarn_csv, runs_csv, strands_png;
    int strands_width = 0, strands_height = 0;  ///< pixels
    Json summary;                               ///< blank, strands, pair, rounds_per_row, assumed, warnings
};
StrandFiles strand_files(const BlankInput& blank, const std::vector<ColourRun>& strands, const Knitting& knitting,
                         const WindingOptions& winding);

}  // namespace loopread::cli
