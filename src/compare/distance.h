#pragma once

#include "loopread/base/grid.h"

namespace loopread {

/// For every cell the distance to the nearest marked one, from middle to middle, cells of the given size; exact
/// (Felzenszwalb and Huttenlocher's lower envelope of parabolas, from memory). Without any mark: very far.
Grid<double> distances(const Grid<unsigned char>& marked, double cell_width, double cell_height);

}  // namespace loopread
