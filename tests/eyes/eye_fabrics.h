#pragma once

#include <string>
#include <vector>

#include "loopread/fabric/fabric.h"
#include "loopread/yarn/run.h"

/// Sixty fabrics to be judged by looking at them: half of samples laid and knitted in several ways, half of yarns made
/// up by a seeded draw. `loopread_eyes FOLDER` draws them; the labels given on sight are in tests/data.
namespace loopread::eyes {

struct EyeFabric {
    int number = 0;  ///< in the shuffled order in which they were looked at
    ColourRun run;
    Fabric fabric;
    double yarn_per_round_mm = 0;
};

inline constexpr int kFabrics = 60;

std::vector<EyeFabric> eye_fabrics();

}  // namespace loopread::eyes
