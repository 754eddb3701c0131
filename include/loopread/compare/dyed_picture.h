#pragma once

#include "loopread/image/image.h"
#include "loopread/image/sampling.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lattice/shade.h"

namespace loopread {

/// A flat picture of dyed cloth with its scale, ready to be measured.
struct DyedPicture {
    Image light;
    double pixel_width_mm = 1, pixel_height_mm = 1;
    double sampling_variance = 1.0 / 12;  ///< pixels squared each way: what the pixels themselves spread an edge by
    CellCount cells{};                    ///< stitches and rows on a regular grid; none where none were seen
    bool v_opens_up = true;               ///< of the stitches as they lie in it
    double relief = 0;                    ///< of the loops, as taken out: standard deviation of log light
    double light_pixel_mm = 1;            ///< of the photo it was read from

    bool knitted() const { return cells.stitches > 0; }
    double width_mm() const { return light.columns() * pixel_width_mm; }
    double height_mm() const { return light.rows() * pixel_height_mm; }
    double stitch_mm() const { return knitted() ? width_mm() / cells.stitches : 0; }
    double row_mm() const { return knitted() ? height_mm() / cells.rows : 0; }
    /// Narrower edges cannot be told from sharp ones: half a stitch, or two pixels of the photo.
    double floor_mm() const;
};

/// Widths and lengths of what a picture shows.
struct PictureSize {
    double width_mm = 0, height_mm = 0;
};

/// A picture as it is, its texture left in.
DyedPicture plain_picture(Image flat, PictureSize size);

/// A photo of knitting: every stitch on a regular grid, the light and shade of its loops taken off.
/// @throws contract unless the lattice was found and its stitches stand upright
DyedPicture knitted_picture(const Image& flat, const KnitLattice& lattice, PictureSize size);

/// Turned, with all that is known of it.
DyedPicture turned(const DyedPicture& picture, QuarterTurn turn);

}  // namespace loopread
