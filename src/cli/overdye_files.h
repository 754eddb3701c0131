#pragma once

#include <string>
#include <utility>
#include <vector>

#include "cli/overdye_input.h"
#include "cli/summary.h"
#include "loopread/overdye/visible.h"

namespace loopread::cli {

/// What `overdye` finds out and writes.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct OverdyeFiles {
    std::vector<std::pair<std::string, std::string>> files;  ///< name and bytes
    Json summary;
};

enum class DyeingOrders { base_first, stencil_first, both };

struct OverdyePlan {
    DyeingOrders orders = DyeingOrders::both;
    double strike = 1;
    double lost_under = kLostUnder;
};

OverdyeFiles overdye_files(const OverdyeInput& input, const OverdyePlan& plan);

}  // namespace loopread::cli
