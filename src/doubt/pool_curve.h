#pragma once

#include <vector>

#include "loopread/doubt/how_sure.h"

namespace loopread {

/// Knitters who drift but do not differ in loop length, at all stitch counts near those asked about.
class PoolCurve {
public:
    /// @param most  the largest stitch count that will be asked about
    PoolCurve(const RiskInUse& risk, const DoubtedKnitting& knitting, Millimetres longest, double least, double most);

    /// Of a yarn, the part of them whose fabric pools at each count; under 0 where that cannot be told.
    std::vector<double> pooling(const ColourRun& run) const;
    /// What that comes to among knitters whose loop lengths differ, at a count that need not be whole.
    double at(const std::vector<double>& pooling, double count) const;

private:
    RiskOptions options_;
    Millimetres yarn_per_stitch_;
    Worked worked_;
    std::vector<int> counts_;                  // evenly spaced
    std::vector<std::vector<double>> starts_;  // of each knitter's stitches
};

}  // namespace loopread
