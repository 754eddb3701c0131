#pragma once

#include <string>
#include <vector>

#include "cli/doubt_input.h"
#include "cli/look.h"
#include "loopread/draw/pooling_chart.h"

namespace loopread::cli {

/// What `pooling` finds out and writes; `preview` writes the same.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct PoolingFiles {
    std::string csv, png;
    int width = 0, height = 0;  ///< of the picture
    Json summary;
    std::vector<RoundRisk> risks;
    AskedRound asked;
    std::vector<std::string> warnings;
    std::optional<HowSure> how_sure;  ///< none if not asked for, and where nothing is left to guess
};

/// The pool risk at the asked-for round, with the figures in use.
double asked_risk(const PoolingFiles& found);

struct PoolingPlan {
    ChanceOptions chance;
    std::uint64_t seed = 1;
    const Doubts* doubts = nullptr;  ///< none: how sure it all is, is not asked
    int draws = 0;
};

/// Some stitch count gets three rounds of 16 stitches or more out of every run that is to be knitted.
bool enough_to_tell(Millimetres shortest, const Knitting& knitting, const ChanceOptions& chance);
/// @throws Error(input) where none does, Error(usage) where the asked-for round takes more than a run holds
void check_enough_to_tell(Millimetres shortest, const Knitting& knitting, const ChanceOptions& chance);

/// @param strands  all there are; the knitting chooses among them
/// @throws as check_enough_to_tell
PoolingFiles pooling_files(const std::vector<ColourRun>& strands, const Knitting& knitting, const PoolingPlan& plan);

}  // namespace loopread::cli
