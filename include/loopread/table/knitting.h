#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/lay/blank_to_knit.h"
#include "loopread/shape/gauge.h"
#include "loopread/shape/rounds.h"
#include "loopread/shares/look.h"
#include "loopread/table/state.h"

namespace loopread {

/// The knitting with its yarn settled.
struct TableKnitting {
    int stitches = 64;
    Gauge gauge;
    Millimetres yarn_per_stitch;
    Worked worked = Worked::in_the_round;
    KnittingState::From from = KnittingState::From::ravel_end;
    std::optional<Garment> sock;            ///< where a sock is knitted; else a plain piece of all the yarn
    std::optional<double> foot_cm, leg_cm;  ///< of the sock
    std::vector<std::string> assumed, warnings;

    Millimetres yarn_per_round() const { return yarn_per_stitch * stitches; }
    /// As many rounds as the yarn gives.
    PlainPiece plain() const { return {stitches, yarn_per_stitch, worked}; }
    FirstEnd first_end() const {
        return from == KnittingState::From::far_end ? FirstEnd::far_end : FirstEnd::ravel_end;
    }
};

/// Yarn per stitch from the gauge where no round was measured. Stitches that make no sock are shown as a plain piece,
/// with a warning.
/// @throws Error(usage) for figures that no knitting has
TableKnitting settled(const KnittingState& knitting);

}  // namespace loopread
