#pragma once

#include <vector>

#include "cli/summary.h"

namespace loopread::cli {

/// What unravelling writes: yarn.csv, runs.csv and strands.png.
struct StrandFiles {
    std::string yarn_csv, runs_csv, strands_png;
    int strands_width = 0, strands_height = 0;  ///< pixels
};
StrandFiles strand_files(const BlankLayout& layout, const std::vector<ColourRun>& strands, const Knitting& knitting,
                         std::uint64_t seed);

/// The summary of an unravelled blank: blank, strands, pair, rounds_per_row, assumed, warnings.
Json unravel_summary(const BlankInput& blank, const std::vector<ColourRun>& strands, const Knitting& knitting,
                     const WindingOptions& winding);

}  // namespace loopread::cli
