#pragma once

#include <map>
#include <string_view>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/blank/paint.h"
#include "loopread/image/image.h"
#include "loopread/table/state.h"

namespace loopread {

/// Coverage of the shapes that were drawn elsewhere, by their number.
using PrintMasks = std::map<int, Plane>;

/// Pixels of the raster; right and bottom are one past the last.
struct RasterBox {
    int left = 0, top = 0, right = 0, bottom = 0;
    bool empty() const { return left >= right || top >= bottom; }
    bool operator==(const RasterBox&) const = default;
};
RasterBox whole(const BlankRaster& raster);
RasterBox united(const RasterBox& a, const RasterBox& b);
RasterBox widened(const RasterBox& box, int pixels, const BlankRaster& raster);

/// How much dye a layer puts on every pixel of the raster: 0 none, 1 all of it. Edges are half way where they lie and
/// pass over softly, over a pixel at least; marks of one layer that lie over each other do not add up.
/// @throws Error(input) for a mask that is not there
Plane drawn(const LayerForm& form, const BlankRaster& raster, const PrintMasks& masks);

/// The same within a box only; the rest of the plane stays as it is.
void redraw(Plane& plane, const LayerForm& form, const BlankRaster& raster, const PrintMasks& masks,
            const RasterBox& box);

/// Where two brush layers may differ: the boxes of strokes that changed, and of a stroke that went on those of its new
/// stretches.
RasterBox changed_box(const Brush& before, const Brush& after, const BlankRaster& raster);

/// Layers put on one after another, where a dip washes out dye that has not struck.
///
/// A painted layer gives up (1 - strike) of its dye where a later dip's bath reaches, and that dye spreads evenly over
/// what this dip wets, added in K/S; so it does once, for what went through a bath has struck. Counted as if the paste
/// had dyed right through, which is the most that can wash out. What comes after the dip is not touched.
/// @param wet     for each layer: of a dip, how much of each place was in its bath, 0..1; empty for what is painted on
/// @param strike  0..1 (require)
/// @return        the layers in their order, then what each dip took up, if anything
std::vector<DyeLayer> washed(std::vector<DyeLayer> layers, const std::vector<Plane>& wet, double strike);

/// In which order layers are put on.
enum class LayerOrder { as_put_on, dipped_first, stencilled_first };
std::vector<TableLayer> in_order(std::vector<TableLayer> layers, LayerOrder order);

/// Signed distance to the edge of a built-in shape of unit size (its longer side from -0.5 to 0.5, x right, y down),
/// under 0 inside. @throws contract for PrintShape::mask
double distance_to(PrintShape shape, double x, double y);

}  // namespace loopread
