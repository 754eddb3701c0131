#pragma once

#include "loopread/image/image.h"
#include "loopread/lattice/lattice.h"

namespace loopread {

/// A photo of knitting drawn anew so that its stitches lie on a regular grid, each read where it is.
/// @param photo    light
/// @param middles  rows x stitches: where in the photo the middle of each stitch lies; at least 2 x 2 (require)
/// @param rows, columns  pixels of the result, each over 0 (require); the stitches share them evenly
/// Between the middles straight lines, beyond them the same lines for a third of a stitch, then held; every pixel is
/// the mean of four looks.
Image straightened(const Image& photo, const Grid<PicturePoint>& middles, int rows, int columns);

/// The same for all the stitches of a lattice, at 8 x 6 pixels a stitch.
/// @throws contract unless the lattice was found
Image straightened(const Image& photo, const KnitLattice& lattice);

}  // namespace loopread
