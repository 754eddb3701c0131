#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/colour/kubelka_munk.h"
#include "loopread/image/image.h"

namespace loopread {

/// One stencil's worth of dye on the blank.
struct DyeLayer {
    std::string name;
    Plane amount;  ///< over the raster, creep applied: 1 = full strength, 0 = none
    KOverS dye;    ///< what full strength adds to the fibre
    double penetration = 0.4;
};

/// What is on the blank's painted side, over one raster: either one picture of finished colours, or layers of dye.
/// Ground is what the yarn was before the paint: a bath wets the whole loop.
struct Paint {
    BlankRaster raster;
    Image ground;                  ///< raster, or 1 x 1 where it is one colour
    std::optional<Image> picture;  ///< finished colours, creep applied
    std::optional<Image>
        other_side;                ///< finished colours of the other side, laid as seen through from the painted side
    std::vector<DyeLayer> layers;  ///< in the order they were put on; used when there is no picture
    double penetration = 0.4;      ///< of the picture's paint
    double wrap = 0.7;             ///< how far paint goes round a thread before it goes along it
};

/// A sideways spread so wide that a sharp edge becomes `creep` wide between 10 and 90 %: a Gaussian of creep / 2.5631.
struct RasterBlur {
    double sigma_x = 0, sigma_y = 0;  ///< pixels
};
RasterBlur creep_blur(Millimetres creep, const BlankRaster& raster);

/// The bath under a dipped picture: smooth along and across, estimated off the motifs.
/// A cubic surface in OKLab fitted by iterated weights (Tukey's biweight) from a start at each band's commonest colour.
/// @param picture  finished colours over the raster
Image estimated_ground(const Image& picture);

/// How much of a place each side shows, in parts of the yarn's round surface.
struct SeenShares {
    double painted = 0;
    double other = 0;
};

/// The colour of the yarn at a place of the blank, seen and unseen sides of its surface together.
/// Dyed share D = min(1, v (1 + wrap)) + penetration x (rest); D x paint + (1 - D) x ground in linear light. Layers lie
/// inside each other: the most exposed part of the surface has all of them, and dyes on one part add in K/S.
/// @param x_mm, y_mm  from the top left of the painted side
LinearRgb yarn_colour(const Paint& paint, double x_mm, double y_mm, SeenShares seen);

}  // namespace loopread
