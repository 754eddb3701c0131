#include "loopread/table/counted_photo.h"

#include <algorithm>
#include <utility>

#include "loopread/blank/edges.h"
#include "loopread/blank/layout.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lattice/straighten.h"

namespace loopread {
namespace {

constexpr double kFewestPixels = 8;  // a stitch

/// Reduced as far as leaves a stitch of a usual blank its pixels.
int shrink_that_counts(const FlatSize& size, RavelEdge edge) {
    const bool upright = edge == RavelEdge::top || edge == RavelEdge::bottom;
    const double stitch = static_cast<double>(upright ? size.width : size.height) / BlankLayout{}.stitches;
    return std::max(1, static_cast<int>(stitch / kFewestPixels));
}

}  // namespace

CountedPhoto counted_photo(const SourcePicture& photo, const std::vector<PicturePoint>& corners, RavelEdge edge,
                           LinearRgb undyed) {
    const FlatSize size = corners.empty() ? FlatSize{photo.width, photo.height} : flat_size(corners);
    const int shrink = shrink_that_counts(size, edge);
    Image flat = light_of(photo, undyed, shrink);
    if (!corners.empty()) flat = flattened(flat, corners, shrink);
    flat = turned(flat, turn_to_top(edge));
    CountedPhoto out;
    const KnitLattice lattice = knit_lattice(flat);
    if (!lattice.found()) {
        out.why_not = lattice.why_not;
        return out;
    }
    if (lattice.turn != QuarterTurn::none) {
        out.why_not = "the stitches lie across: the blank comes apart at another side of the photo";
        return out;
    }
    out.cells = {lattice.stitches, lattice.rows};
    out.confidence = lattice.confidence;
    out.upside_down = lattice.opens_down();
    out.flat =
        edges_read_inside(without_shade(straightened(flat, lattice), out.cells), out.cells.stitches, out.cells.rows)
            .picture;
    return out;
}

}  // namespace loopread
