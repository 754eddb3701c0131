#pragma once

#include <optional>
#include <vector>

#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/contrast/borders.h"
#include "loopread/contrast/patches.h"
#include "loopread/loop/shape.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// A blank as it came off, and how it is knitted.
struct KnittedBlank {
    const std::vector<ColourRun>& strands;  ///< as unravelled, from the end that comes off first
    const BlankLayout& layout;
    const LoopShape& shape;
    double yarn_per_stitch_mm = 13;
};

/// One stitch of either ball, and the patch that most of its yarn lies in.
struct PatchStitch {
    std::size_t patch = 0;
    double share = 0;  ///< of its yarn, over one half
    LinearRgb colour;  ///< as it shows: flecks and unreached yarn in it
    PixelPlace place;  ///< of its middle on the blank
};

/// All stitches with over half their yarn in one patch, both balls.
/// @param raster  of the patches
std::vector<PatchStitch> patch_stitches(const KnittedBlank& blank, const Patches& patches, const BlankRaster& raster);

/// The two colours of a pair as they come out on the stitches.
struct KnittedPair {
    LinearRgb darker, lighter;  ///< means in linear light, named as the pair's colours were dyed
    int darker_stitches = 0, lighter_stitches = 0;
    /// whole: all yarn of the stitches lies within the colour. most: of one colour no such stitch is near, so those
    /// with over half count.
    enum class Lies { whole, most } lies = Lies::whole;
};

/// Over the stitches within three stitches of the pair's common border (chosen): on a fade the same paint comes out
/// differently elsewhere. Nothing where one of the two has no stitch there.
std::optional<KnittedPair> knitted_pair(const std::vector<PatchStitch>& stitches,
                                        const std::vector<BorderPoint>& points, const NeighbourPair& pair);

}  // namespace loopread
