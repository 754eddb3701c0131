#pragma once

#include <cstdint>
#include <vector>

#include "loopread/base/grid.h"
#include "loopread/image/image.h"
#include "loopread/wound/strand_path.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What the yarn lies on.
enum class GroundKind { plain, linen, slate };
struct Ground {
    GroundKind kind = GroundKind::plain;
    LinearRgb colour{0.91, 0.90, 0.88};  ///< of a plain one
};

/// From where the table is looked at, without perspective (a long lens).
struct StrandView {
    double pixels_per_mm = 6;
    double elevation = 1.5707963267948966;  ///< radians above the table; pi / 2: straight down
    WoundPoint middle;                      ///< lies in the middle of the picture
};

enum class KeepAlbedo { no, yes };

struct PaintOptions {
    int rows = 2000, columns = 2000;
    StrandView view;
    Ground ground;
    std::uint64_t seed = 1;
    int threads = 0;  ///< 0: as many as the machine has; the bytes are the same
    KeepAlbedo keep_albedo = KeepAlbedo::no;
};

/// The picture, and on request the yarn's colours without any light on them.
struct PaintedStrands {
    Picture8 picture;
    Image albedo;          ///< light that the yarn of a pixel would send back, mean over what the yarn covers
    Grid<float> coverage;  ///< part of the pixel that yarn covers
};

/// Yarn drawn strand by strand: a depth buffer of round tubes, several samples a pixel, the colour of each taken from
/// the run by its place along the yarn; light from the upper left with soft shadow, crevices dark, plies and a halo of
/// fibre. Light and shade scale a colour, so albedo tells what yarn is seen.
/// @param runs  one for each strand that a path names
PaintedStrands painted_strands(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                               const PaintOptions& options);

}  // namespace loopread
