#pragma once

#include <string>
#include <vector>

#include "cli/pooling_files.h"
#include "loopread/lay/judging.h"

namespace loopread::cli {

/// What `lay` finds out and writes; `preview` writes the same.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct LayFiles {
    std::string csv, counts_csv, png;
    int width = 0, height = 0;  ///< of the picture
    Json summary;
    std::vector<JudgedWay> ways;  ///< ranked
    Way as_asked;
};

struct LayPlan {
    ChanceOptions chance;
    Aim aim = Aim::no_pool;
    std::uint64_t seed = 1;
};

/// @param blank    as asked for, from the same source
/// @param winding  of its strands
LayFiles lay_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                   const WindingOptions& winding, const LayPlan& plan);

/// The blank as asked for and what is knitted of it.
BlankToKnit blank_to_knit(const BlankInput& blank, const Knitting& knitting, const WindingOptions& winding);

}  // namespace loopread::cli
