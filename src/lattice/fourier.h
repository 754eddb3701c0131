#pragma once

#include <complex>

#include "loopread/base/grid.h"

namespace loopread {

using Wave = std::complex<float>;

/// The plain discrete Fourier transform, both ways, in place: sum of values * exp(-2 pi i (m x / columns + n y /
/// rows)).
/// @throws contract unless both sides are powers of two
void transform(Grid<Wave>& values);

}  // namespace loopread
