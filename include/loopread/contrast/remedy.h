#pragma once

#include <optional>
#include <vector>

#include "loopread/blank/paint.h"
#include "loopread/contrast/borders.h"
#include "loopread/overdye/visible.h"

namespace loopread {

/// What could be dyed otherwise so that an edge holds. A step darker is twice the dye.
enum class DyeChange { stencil_darker, ground_half, both };
inline constexpr double kTwoSteps = 4;  ///< times the dye

struct Remedy {
    DyeChange change = DyeChange::stencil_darker;
    LinearRgb darker, lighter;  ///< the two colours as they would come out
    Apart apart;
};

/// Of one flat picture: the darker colour is taken as the lighter one with dye on top, the lighter as undyed yarn with
/// a bath. In the order of DyeChange.
struct FlatPair {
    LinearRgb darker, lighter, undyed;
};
std::vector<Remedy> remedies(const FlatPair& pair, double lost_under);

/// The picture with the two patches of a pair dyed so: each keeps its own mottle, its K/S moved by what its mean is.
Image recoloured(const Image& picture, const Patches& patches, const NeighbourPair& pair, const Remedy& remedy);

/// Of layers: the layer that the darker side has more of is made stronger, the ground's dye over undyed yarn halved,
/// and both sides are dyed anew where the pair's border runs.
struct LayeredRemedies {
    std::size_t layer = 0;      ///< the one made stronger
    LinearRgb darker, lighter;  ///< means along the border now
    Apart now;
    std::vector<Remedy> remedies;
};
/// @param paint  in layers (require), over the raster of the points
/// @return       nothing where no layer sets the two apart
std::optional<LayeredRemedies> layered_remedies(const Paint& paint, LinearRgb undyed,
                                                const std::vector<BorderPoint>& points, const NeighbourPair& pair,
                                                double lost_under);

/// The design dyed so.
Paint changed(const Paint& paint, DyeChange change, std::size_t layer, LinearRgb undyed);

}  // namespace loopread
