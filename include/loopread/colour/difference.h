#pragma once

#include "loopread/colour/spaces.h"

namespace loopread {

/// CIEDE2000 with kL = kC = kH = 1, in double (single precision fails the published pairs).
/// Validity: D65, samples over 4 degrees, edge to edge, differences under 5; beyond that a ranking, not a measure.
/// Source: [Sharma 2005].
double delta_e_2000(Lab a, Lab b);

/// Euclidean distance in CIELAB 1976.
double delta_e_76(Lab a, Lab b);

}  // namespace loopread
