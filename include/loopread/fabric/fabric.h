#pragma once

#include <cstddef>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/colour/spaces.h"
#include "loopread/shape/gauge.h"
#include "loopread/shape/rounds.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// One knitted round (or row) and which of the fabric's stitches it holds, in the order knitted.
struct FabricRound {
    Round round;
    std::size_t first = 0;  ///< index of its first stitch
    std::size_t end = 0;    ///< one past its last; fewer than round.stitches where the yarn ran out
    bool complete() const { return end - first == static_cast<std::size_t>(round.stitches); }
};

/// A colour run knitted up: round 0 was knitted first. Stitch i takes yarn_per_stitch from i x yarn_per_stitch on.
struct Fabric {
    std::vector<FabricRound> rounds;  ///< up to where the yarn ends; only the last may be incomplete
    std::vector<LinearRgb> stitches;  ///< mean in linear light of the stitch's two legs, the part a knit side shows
    Millimetres yarn_per_stitch;
    Millimetres yarn_used;
    Millimetres yarn_left;
    std::size_t rounds_planned = 0;

    bool ran_out() const { return rounds.size() < rounds_planned || (!rounds.empty() && !rounds.back().complete()); }
};

/// A stitch starts mid sinker; it shows .145-.355 and .645-.855 of its yarn: its legs [Crane 2023], exact integrals.
/// @throws contract unless yarn_per_stitch is over 0
Fabric knitted(const ColourRun& run, const Garment& garment, Millimetres yarn_per_stitch);

/// The colour of one stitch that starts at a distance along the run.
LinearRgb stitch_colour(const ColourRun& run, double start_mm, double yarn_per_stitch_mm);

/// Mean CIEDE2000 between the stitches of two yarns knitted alike, as far as the shorter goes: how well a pair matches.
double stitch_difference(const ColourRun& a, const ColourRun& b, Millimetres yarn_per_stitch);

/// Yarn in one stitch of fully relaxed plain fabric: l = sqrt(23.1 / (stitches x rows per unit area)) [Munden 1959].
Millimetres yarn_per_stitch(const Gauge& gauge);

}  // namespace loopread
