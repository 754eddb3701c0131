#pragma once

#include "loopread/colour/kubelka_munk.h"

namespace loopread {

/// How much of each of two dyes a colour holds, neither under 0.
struct TwoDyes {
    double ground = 0, stencil = 0;
};

/// Least squares in K/S, neither share under 0.
/// @param dyed  what lies over the undyed yarn
TwoDyes unmixed(KOverS dyed, KOverS ground, KOverS stencil);

double dot(KOverS a, KOverS b);
/// Of the angle between two dyes: 1 for one hue.
double cosine(KOverS a, KOverS b);

}  // namespace loopread
