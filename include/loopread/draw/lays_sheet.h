#pragma once

#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

/// One way to lay the design on the blank.
struct LayPanel {
    int rank = 0;
    int tie = 0;       ///< panels that follow each other with the same number: no difference between them
    std::string name;  ///< "turned a quarter clockwise, mirrored, painted on the purl side"
    Image blank;       ///< the design as it lies, ravel edge on top, small
    Image fabric;      ///< what it knits up as
    double stripe = 0, pool = 0, dash = 0, speckle = 0;  ///< add to 1, or are all 0
    double risk = 0;                                     ///< share of the knitters whose knitting pools, 0..1
    std::string verdict;
};

struct LaysSheet {
    std::string headline;
    std::string why;
    std::vector<LayPanel> panels;  ///< best first
};

/// A contact sheet, four panels to a row. Pictures too large for their panel are made smaller.
Picture8 lays_sheet(const LaysSheet& sheet);

}  // namespace loopread
