#pragma once

#include <cstdint>
#include <vector>

#include "loopread/wound/sizes.h"
#include "loopread/wound/strand_path.h"
#include "wound/vec.h"

namespace loopread::wound {

/// One place on the way round a hank: its middle, and the half axes of its cross-section.
struct BundlePlace {
    Vec middle;
    Vec outward, upward;                    ///< unit, across the way
    float half_width = 5, half_height = 5;  ///< along outward and upward, mm
};

/// A hank as a closed band of strands: places at equal distances all the way round.
using ClosedBundle = std::vector<BundlePlace>;

struct BundleYarn {
    WoundYarn yarn;
    double girth_mm = 1500;
    double section_turns = 0;  ///< whole turns of the cross-section on the way round: strands lie like those of a rope
    double crimp_mm = 0;       ///< of yarn in a wave; 0: none
    double stray = 1;          ///< how far strands wander from their places
    std::uint64_t seed = 1;
};

/// The yarn wound round turn by turn: the turn after this one lies beside it, and what lies side by side is whole
/// turns apart.
std::vector<StrandPath> bundle_paths(const ClosedBundle& bundle, const BundleYarn& yarn);

/// `count` places of a disk of radius 1 in rows, neighbours next to each other.
struct DiskPlace {
    float x = 0, y = 0;
};
std::vector<DiskPlace> disk_places(int count);

/// The closed line as points at equal distances of about 1 mm, the first one kept.
std::vector<Vec> evenly_spaced(const std::vector<Vec>& closed);
float closed_length(const std::vector<Vec>& closed);

/// A smooth line through points, about 1 mm from point to point.
std::vector<Vec> smooth_line(const std::vector<Vec>& through);

}  // namespace loopread::wound
