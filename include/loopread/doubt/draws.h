#pragma once

#include <cstdint>
#include <vector>

#include "loopread/doubt/ranges.h"
#include "loopread/unravel/winding.h"

namespace loopread {

/// Points in the unit cube, each coordinate in (0, 1). Latin hypercube [McKay 1979]: of n points, each n-th part of
/// every coordinate holds exactly one, which is why a hundred are enough for a band.
/// @param count       over 0 (require)
/// @param dimensions  over 0 (require)
std::vector<std::vector<double>> latin_hypercube(int count, int dimensions, std::uint64_t seed);

/// One guess at all that was not measured.
struct Draw {
    double wrap = 0.7, penetration = 0.4;
    WindingOptions winding = {};
    double yarn = 1;  ///< factor on the yarn in a round
};
/// Two strands wind anew in each draw, by chance; one does not.
enum class Winds { as_in_use, anew };
/// @param winding  in use; its seed is that of the draws
std::vector<Draw> draws_from(const Ranges& ranges, const WindingOptions& winding, Winds winds, int count);

/// The part of an answer's variance that goes with a figure: between five equal groups of draws by its value, the part
/// chance alone would give taken off (epsilon squared, from memory); 0 where nothing varies. A first-order index: what
/// only two figures together move is not in it.
/// @param figure  one value a draw, and all of them differ
/// @param answer  one list of numbers a draw, all as long: their variances are added up
double moved_share(const std::vector<double>& figure, const std::vector<std::vector<double>>& answer);

}  // namespace loopread
