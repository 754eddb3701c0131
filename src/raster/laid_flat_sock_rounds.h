#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "loopread/shape/rounds.h"
#include "loopread/shape/sock.h"

namespace loopread {

/// The rounds of a sock in the order they lie, from the cuff to the toe.
struct SockRounds {
    Start start = Start::cuff;
    Heel heel = Heel::flap;
    int stitches = 0;  // of the leg
    std::vector<std::size_t> leg, flap, turn, gusset, foot, heel_rows;
    std::optional<std::size_t> first_gusset;  // from below: the round on one gusset only, at the flap's edge

    int quarter() const { return stitches / 4; }
};
SockRounds sock_rounds(const Garment& garment);

std::vector<Round> rounds_of(const Garment& garment, const std::vector<std::size_t>& indices);

/// How many stitches of it lie towards us, behind and in front.
int back_seen(const Round& round);
int front_seen(const Round& round);

}  // namespace loopread
