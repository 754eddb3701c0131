#include "loopread/shares/look.h"

#include <algorithm>

#include "loopread/shape/garments.h"

namespace loopread {

FabricLook look_of(const Fabric& fabric, const ColourRun& run, double yarn_per_round_mm) {
    const PlainRounds rounds = plain_rounds(fabric);
    const Shares found = shares(rounds);
    return {found, verdict(found, rounds, run, yarn_per_round_mm)};
}

Garment plain_garment(const PlainPiece& piece, Millimetres yarn) {
    const double all = yarn / (piece.yarn_per_stitch * piece.stitches);
    const int rounds = piece.rounds.value_or(std::max(1, static_cast<int>(all)));
    return piece.worked == Worked::in_the_round ? tube(piece.stitches, rounds) : flat(piece.stitches, rounds);
}

Fabric plain_fabric(const ColourRun& run, const PlainPiece& piece) {
    return knitted(run, plain_garment(piece, run.length()), piece.yarn_per_stitch);
}

}  // namespace loopread
