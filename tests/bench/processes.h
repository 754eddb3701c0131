#pragma once

#include <string>
#include <vector>

namespace loopread::bench {

/// Of a process as a whole, its output thrown away.
struct Cost {
    double seconds = 0;
    double peak_mb = 0;  ///< resident
};

/// The median time and the largest peak of `runs` runs, so that one disturbance does not count.
/// Ends the bench if a run fails: a figure of a command that failed is none.
Cost median_cost(const std::vector<std::string>& command, int runs);

}  // namespace loopread::bench
