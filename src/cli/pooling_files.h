#pragma once

#include <string>
#include <vector>

#include "cli/look.h"
#include "loopread/draw/pooling_chart.h"

namespace loopread::cli {

/// What `pooling` finds out and writes; `preview` writes the same.
struct PoolingFiles {
    std::string csv, png;
    Json summary;
    std::vector<RoundRisk> risks;
    AskedRound asked;
    std::vector<std::string> warnings;
};

struct PoolingPlan {
    ChanceOptions chance;
    std::uint64_t seed = 1;
};

/// @param strands  all there are; the knitting chooses among them
/// @throws Error(input) where no stitch count gets three rounds out of the yarn
PoolingFiles pooling_files(const std::vector<ColourRun>& strands, const Knitting& knitting, const PoolingPlan& plan);

}  // namespace loopread::cli
