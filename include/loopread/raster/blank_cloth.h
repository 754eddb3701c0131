#pragma once

#include <vector>

#include "loopread/raster/cloth.h"
#include "loopread/unravel/order.h"
#include "loopread/unravel/winding.h"

namespace loopread {

/// The painted side of a blank as knitted cloth, the ravel edge on top: the same loops that were read, drawn back. Of a
/// tube the layer towards us.
/// @param strands  as unravelled from this layout
/// @param winding  as used for unravelling, so that the strand on top is the one that took the paint
Cloth blank_cloth(const BlankLayout& layout, const std::vector<ColourRun>& strands, const WindingOptions& winding);

}  // namespace loopread
