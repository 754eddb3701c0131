#pragma once

#include <optional>

#include "loopread/fabric/fabric.h"
#include "loopread/shape/rounds.h"
#include "loopread/shares/shares.h"
#include "loopread/shares/words.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// What a fabric looks like: the shares over its plain rounds, and a sentence.
struct FabricLook {
    Shares shares;
    Verdict verdict;
};
/// @param run                the yarn the fabric was knitted from
/// @param yarn_per_round_mm  over 0 (require)
FabricLook look_of(const Fabric& fabric, const ColourRun& run, double yarn_per_round_mm);

/// Plain knitting with the same stitches in every round.
struct PlainPiece {
    int stitches = 64;
    Millimetres yarn_per_stitch{13};
    Worked worked = Worked::in_the_round;
    std::optional<int> rounds = std::nullopt;  ///< all that the yarn gives, and at least one, if not told
};
Garment plain_garment(const PlainPiece& piece, Millimetres yarn);
Fabric plain_fabric(const ColourRun& run, const PlainPiece& piece);

}  // namespace loopread
