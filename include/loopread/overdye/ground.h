#pragma once

#include <cstdint>
#include <span>

#include "loopread/blank/lay.h"
#include "loopread/blank/paint.h"

namespace loopread {

/// Which way a bath of several hues runs over the blank.
enum class GroundAs { along, across, broken };

/// From the first hue at the ravel edge (along) or at the left (across) to the last, evenly spaced, straight in linear
/// light from hue to hue: the fade that a design file describes.
/// @param hues  two or more (require); `as` is not broken (require)
Image faded_ground(std::span<const LinearRgb> hues, GroundAs as, const BlankRaster& raster);

/// A bath that broke: smooth seeded patches of all that lies between the hues, mixed in K/S, patches a few centimetres
/// across (chosen; no source). Every hue on the way gets an equal share of the blank.
/// @param hues  two or more (require)
Image broken_ground(std::span<const LinearRgb> hues, const BlankRaster& raster, std::uint64_t seed);

/// The bath under a stencil: its mean in linear light over what the stencil dyes, by amount; over all of the blank
/// where it dyes nothing.
LinearRgb ground_under(const Image& ground, const Plane& amount);

/// The same design with the stencils put on before the bath.
///
/// Of each stencil's dye the share `strike` was fixed by then; the rest washes into the bath and spreads evenly over
/// the whole blank: strength x (1 - strike) x share of the area, added in K/S. Counted as if the paste had dyed right
/// through, which is the most that can wash out. The bath's own dye reaches the motifs as it does the ground.
/// @param strike  0..1 (require)
Paint stencilled_first(Paint base_first, double strike);

/// What washes out of all stencils, as the bath gains it.
KOverS washed_dye(const Paint& base_first, double strike);

}  // namespace loopread
