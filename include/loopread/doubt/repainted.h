#pragma once

#include <optional>
#include <vector>

#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/doubt/draws.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/unravel/loop_samples.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// A painted blank whose paint has been looked up once at every place of its yarn, so that it can be unravelled many
/// times over as if the dye had gone another way or the strands had wound otherwise. As unravelled() would, to the bit.
///
/// A draw's penetration is that of all paint whose penetration is the one in use (`paint.penetration`): one base takes
/// all its paste alike. A layer with another one of its own keeps it.
class RepaintedBlank {
public:
    /// Keeps no reference to any of them.
    RepaintedBlank(const BlankLayout& layout, const Paint& paint, const LoopShape& shape, const CellShares& shares);

    int strands() const { return layout_.strands; }
    /// @param strand  0 or 1
    ColourRun strand(int strand, const Draw& draw) const;
    /// How unlike the strands are, as mean CIEDE2000 over some thirty courses; 0 of one strand.
    /// @param run  that of one of them, with this draw
    double pair_mean_de00(const ColourRun& run, int strand, const Draw& draw) const;
    /// Which courses that looks at: each so many.
    int course_step() const;
    /// Some paint has the penetration in use.
    bool penetration_counts() const;

private:
    struct Look {  // what a strand sees of the paint at one place
        const Draw& draw;
        double painted, other;
    };
    void look_up(const Paint& paint);
    LinearRgb pictured(std::size_t place, const Look& look) const;
    LinearRgb ground(std::size_t place) const { return one_ground_ ? *one_ground_ : ground_[place]; }
    void lay_together();
    LinearRgb layered(std::size_t place, const Look& look) const;
    LinearRgb colour(std::size_t place, const Look& look) const;
    LinearRgb part_colour(std::size_t loop, std::size_t part, int strand, const Draw& draw,
                          const Winding& winding) const;

    struct Dye {
        KOverS full;
        double penetration = 0;
    };

    BlankLayout layout_;
    CellShares shares_;
    LoopSamples samples_;
    std::vector<LoopPlace> order_;
    SidesKnown known_ = SidesKnown::painted;
    double penetration_in_use_ = 0;
    // At place 16 i + k: sample k of the i-th loop that comes off.
    std::optional<LinearRgb> one_ground_;
    std::vector<LinearRgb> ground_, front_, back_;
    std::vector<Dye> dyes_;
    std::vector<double> amounts_;  // of each dye in turn at one place, then at the next
    // Where all dyes reach alike, a place is their one colour as far as they reach; no colour where there is no dye.
    std::vector<std::optional<LinearRgb>> together_;
};

}  // namespace loopread
