#pragma once

#include <cstddef>
#include <vector>

#include "loopread/blank/paint.h"
#include "loopread/overdye/visible.h"

namespace loopread {

/// Whether one stencil shows on what lies beneath and beside it.
struct LayerContrast {
    LinearRgb with, without;  ///< means over what it dyes: as it is, and had it been left out
    Apart apart;
};

/// Of each layer, over the places where it has at least half of its strongest amount; both colours the same for a layer
/// that dyes nothing. Neighbouring colours alone would not tell: a motif that is lost outright has no colour of its
/// own.
/// @param paint  in layers (require)
/// @param layer  one of the paint's (require)
LayerContrast layer_contrast(const Paint& paint, std::size_t layer, double lost_under);
std::vector<LayerContrast> layer_contrasts(const Paint& paint, double lost_under);

}  // namespace loopread
