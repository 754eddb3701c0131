#pragma once

#include <vector>

namespace loopread {

/// The p-th part of a sample, p in [0, 1]: straight between neighbours, the least at 0 and the largest at 1.
/// Definition 7 of [Hyndman 1996]. @throws contract for an empty sample
double percentile(std::vector<double> sample, double p);

/// Where nine in ten of the draws lie, and their middle.
struct Band {
    double p5 = 0, median = 0, p95 = 0;
};
/// @throws contract for an empty sample
Band band_of(const std::vector<double>& sample);

}  // namespace loopread
