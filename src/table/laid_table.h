#pragma once

#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/table/counted_photo.h"
#include "loopread/table/layers.h"
#include "loopread/table/source_picture.h"
#include "loopread/table/state.h"

namespace loopread {

/// The picture as it lies on the raster, and what lies under it: 1 x 1, or over the raster.
struct LaidPicture {
    Image laid, ground;
};

/// What a state puts where on the blank, before and after it creeps; keeps nothing.
class LaidTable {
public:
    /// What a state speaks of; all of it outlives the laid table.
    struct Parts {
        const TableState& state;
        const BlankLayout& layout;
        const BlankRaster& raster;
        const SourcePicture& source;
        const PrintMasks& masks;
        const CountedPhoto* photo;  ///< nullptr: none whose stitches were to be counted
    };
    explicit LaidTable(const Parts& parts) : on_(parts) {}

    /// No paint yet.
    Paint bare_paint() const;
    Paint sharp_paint(const LaidAs& way) const;
    Paint set_paint(Paint sharp) const;

    /// Only where the state has a picture.
    LaidPicture picture(const LaidAs& way) const;
    /// As it sets: a photo shows dye that has.
    Image crept_picture(const Image& laid) const;
    /// How much of its dye a layer puts where.
    Plane plane_of(const TableLayer& layer, const LaidAs& way) const;
    /// The same of its full strength.
    Plane reach_of(const TableLayer& layer, const LaidAs& way) const;
    /// The layers that are on, and what the dips wash out of those before them.
    std::vector<DyeLayer> put_on(const std::vector<TableLayer>& layers, const LaidAs& way, double strike) const;
    /// A layer's dye and how deep it goes, with so much of it where.
    DyeLayer dyed(const TableLayer& layer, Plane amount) const;

private:
    LinearRgb undyed() const;
    Image flat_source(const Lay& lay) const;

    Parts on_;
};

/// Whether a bath takes dye from what was painted before it.
bool washes(const TableState& state);

/// A picture that went all the way through, a bath, is the ground of the layers on it: they go as deep as each does.
bool picture_is_ground(const TableState& state);

/// Layers on a picture that is paint itself: their dyes add on the picture's colours, and a bath's on the ground
/// beneath as well. Then the picture carries them, with its own penetration.
Paint baked(Paint paint);

/// Dyes of at least so much penetration added to the colours within a box.
void bake(Image& colours, const std::vector<DyeLayer>& layers, double least_penetration, const RasterBox& box);

}  // namespace loopread
