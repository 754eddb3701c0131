#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/raster/quick_cloth.h"
#include "loopread/table/knitting.h"
#include "loopread/table/layers.h"
#include "loopread/table/source_picture.h"
#include "loopread/table/state.h"
#include "loopread/unravel/winding.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// The state's measures, with what was open settled from the rest.
struct SettledTable {
    BlankLayout layout;
    TableKnitting knitting;
    std::vector<std::string> assumed, warnings;
};

/// A dye table: a blank with its dyes, the yarn it gives and how that is knitted. It is told the whole state again and
/// again and works out anew only what a change touches.
///
/// The result depends on the last state only, never on the way there: to the bit.
class DyeTable {
public:
    DyeTable();
    ~DyeTable();
    DyeTable(DyeTable&&) noexcept;
    DyeTable& operator=(DyeTable&&) noexcept;

    /// The picture that state.picture speaks of, and masks for prints by number; an empty one is forgotten.
    void set_source(SourcePicture picture);
    void set_mask(int number, const SourcePicture& picture);

    /// @throws Error for figures no blank or knitting has; the last good state stays then
    const SettledTable& apply(const TableState& state);

    const TableState& state() const;
    const SettledTable& settled() const;
    /// The paint as it has set, ready to be unravelled, and what else unravelling needs.
    const Paint& paint() const;
    const LoopShape& shape() const;
    const CellShares& shares() const;
    WindingOptions winding() const;
    /// The paint of the design laid so, before it creeps; nudges left out.
    Paint sharp_paint(const LaidAs& way) const;
    /// The same as it sets.
    Paint set_paint(Paint sharp) const;

    /// Layers on the table's raster before they creep, over the picture, if there is one, as a ground: what lies under
    /// each can be told. First the layers that are on, in their order, then what washed into the dips; nudges left out.
    /// @param strike  as in `washed`
    Paint layered_paint(const std::vector<TableLayer>& layers, double strike) const;

    /// How much of its dye a layer puts where, as the design lies now, of its full strength and before it creeps.
    Plane layer_amount(const TableLayer& layer) const;

    /// The same of every layer that is on, in their order, each of its own strength.
    std::vector<const Plane*> laid_layers() const;

    /// The picture as it lies on the raster, if there is one.
    const Image* laid_picture() const;

    /// A run per strand from the end that comes off first; ball A is the first.
    const std::vector<ColourRun>& strands() const;
    /// The painted side as it lies before us, dyed through, along the yarn.
    const ColourRun& seen_side() const;
    /// The strands from the end that is knitted first.
    const std::vector<ColourRun>& runs() const;

    /// Counts up when what it names has changed.
    struct Versions {
        std::uint64_t yarn = 0, knitting = 0;
        bool operator==(const Versions&) const = default;
    };
    Versions versions() const;
    /// Courses whose colours changed since an older version of the yarn; all of them if that is not known.
    CourseRange courses_changed_since(std::uint64_t yarn_version) const;

private:
    class Stages;
    std::unique_ptr<Stages> stages_;
};

}  // namespace loopread
