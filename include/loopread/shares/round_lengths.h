#pragma once

#include <span>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/shares/advice.h"

namespace loopread {

/// Stitch counts from the first to the last.
struct CountRange {
    int first = 40, last = 120;
};

/// The stitch counts whose rounds customers knit: of 75 to 100 cm of yarn. A count at either end that meets it only but
/// for rounding may be left out. Where there is none, the asked-for count alone.
/// @param yarn_per_stitch  over 0 (require)
std::vector<int> usual_counts(Millimetres yarn_per_stitch, int asked);

/// The stitch counts looked at for pools: the range, those whose rounds take 75 to 100 cm of yarn, and the asked-for
/// one; rising.
/// @param yarn_per_stitch  over 0 (require)
std::vector<int> swept_counts(CountRange range, Millimetres yarn_per_stitch, int asked);

/// Some stitch count gets three rounds of 16 stitches or more out of the shortest run that is to be knitted.
bool enough_to_tell(Millimetres shortest, Millimetres yarn_per_stitch, std::span<const int> counts);

/// The rounds worth seeing as fabric, side by side.
struct RoundsToShow {
    RoundRisk asked, fewest_pools, most_pools;
};
/// The best and the worst go by risk, then by pool, then the nearest to the asked-for count.
/// @param risks  the asked-for count is among them (require)
RoundsToShow rounds_to_show(const std::vector<RoundRisk>& risks, int asked);

}  // namespace loopread
