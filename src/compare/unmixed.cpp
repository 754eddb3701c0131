#include "compare/unmixed.h"

#include <algorithm>
#include <cmath>

namespace loopread {

double dot(KOverS a, KOverS b) {
    return a.r * b.r + a.g * b.g + a.b * b.b;
}

double cosine(KOverS a, KOverS b) {
    return dot(a, b) / std::max(1e-12, std::sqrt(dot(a, a) * dot(b, b)));
}

TwoDyes unmixed(KOverS dyed, KOverS ground, KOverS stencil) {
    const double gg = dot(ground, ground), gs = dot(ground, stencil), ss = dot(stencil, stencil);
    const double dg = dot(dyed, ground), ds = dot(dyed, stencil), determinant = gg * ss - gs * gs;
    if (determinant > 1e-9 * gg * ss) {
        const TwoDyes both{(dg * ss - ds * gs) / determinant, (ds * gg - dg * gs) / determinant};
        if (both.ground >= 0 && both.stencil >= 0) return both;
    }
    // One of the two alone: whichever explains more.
    const double by_ground = gg > 0 ? std::max(0.0, dg / gg) : 0, by_stencil = ss > 0 ? std::max(0.0, ds / ss) : 0;
    return by_ground * dg > by_stencil * ds ? TwoDyes{by_ground, 0} : TwoDyes{0, by_stencil};
}

}  // namespace loopread
