#pragma once

#include "cli/knitted_picture.h"
#include "cli/summary.h"
#include "loopread/shares/look.h"

namespace loopread::cli {

/// What the fabric of a ball looks like: the shares over its plain rounds, and a sentence.
std::vector<FabricLook> looks_of(const std::vector<KnittedBall>& balls, const Knitting& knitting);
FabricLook look_of(const KnittedBall& ball, const Knitting& knitting);
Json look_json(const FabricLook& look);
/// knitting_json with what each ball looks like.
Json knitting_with_looks_json(const Knitting& knitting, const std::vector<KnittedBall>& balls,
                              const std::vector<FabricLook>& looks);
/// The shares under their names, rounded.
Json shares_json(const Shares& shares);

}  // namespace loopread::cli
