#pragma once

#include <cstddef>
#include <span>

#include "loopread/colour/spaces.h"

namespace loopread {

inline double squared_distance(Oklab a, Oklab b) {
    const double l = a.l - b.l, x = a.a - b.a, y = a.b - b.b;
    return l * l + x * x + y * y;
}

/// Index of the nearest of at least one colour; ties: the lower index.
inline std::size_t nearest_index(std::span<const Oklab> colours, Oklab colour) {
    std::size_t nearest = 0;
    double least = squared_distance(colours[0], colour);
    for (std::size_t i = 1; i < colours.size(); ++i) {
        const double distance = squared_distance(colours[i], colour);
        if (distance >= least) continue;
        least = distance;
        nearest = i;
    }
    return nearest;
}

}  // namespace loopread
