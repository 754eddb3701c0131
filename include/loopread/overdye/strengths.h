#pragma once

#include <optional>
#include <vector>

#include "loopread/colour/kubelka_munk.h"
#include "loopread/colour/spaces.h"

namespace loopread {

/// A fibre of that ground with so much of a dye on top: dyes on one fibre add in K/S.
/// @param dye  what full strength adds
LinearRgb overdyed(LinearRgb ground, KOverS dye, double strength);

/// What full strength of a dye adds to undyed yarn.
KOverS dye_of(LinearRgb full_strength, LinearRgb undyed);

/// So many strengths, strongest first, whose colours step evenly in L* from full strength to the bare ground: each step
/// between neighbours is as large as the one from the weakest to the ground. Solved by bisection.
/// @param steps  1 or more (require)
/// @param full   the strongest of them, over 0 (require)
/// @return       nothing where the dye does not darken this ground
std::optional<std::vector<double>> even_strengths(LinearRgb ground, KOverS dye, int steps, double full);

}  // namespace loopread
