#pragma once

#include <array>
#include <vector>

#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/raster/quick_cloth.h"
#include "loopread/table/layers.h"
#include "loopread/unravel/loop_samples.h"
#include "loopread/unravel/order.h"
#include "loopread/unravel/winding.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What is read off, beside the strands: the painted side as it lies before us, dyed through.
struct ReadStrands {
    std::vector<ColourRun> strands;
    ColourRun seen_side;
};

/// Reads a blank's strands like unravelled(), and again only where its paint changed: what each side shows of a strand
/// is the same as long as the blank is, so it is looked up once.
class StrandReader {
public:
    StrandReader(const BlankLayout& layout, const LoopShape& shape, const CellShares& shares,
                 const WindingOptions& winding);

    /// Reads every loop.
    void read(const Paint& paint);
    /// Reads the loops that look the paint up within a box of its raster. @returns the courses that were touched
    CourseRange reread(const Paint& paint, const RasterBox& box);
    ReadStrands read_strands() const;

private:
    static constexpr std::size_t kSamples = std::tuple_size_v<LoopSamples>;
    using Parts = std::array<LinearRgb, 4>;

    void read_loop(const Paint& paint, std::size_t loop);
    ColourRun run(const std::vector<Parts>& colours) const;

    BlankLayout layout_;
    std::vector<LoopPlace> order_;
    LoopSamples samples_;
    double reach_x_mm_ = 0, reach_y_mm_ = 0;  // from a loop's middle to where its paint is looked up
    std::vector<SeenShares> seen_;            // [loop][sample][strand]
    std::array<std::vector<Parts>, 2> colours_;
    std::vector<Parts> seen_side_;
};

}  // namespace loopread
