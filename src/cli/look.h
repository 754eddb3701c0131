#pragma once

#include "cli/knitted_picture.h"
#include "cli/summary.h"
#include "loopread/shares/advice.h"
#include "loopread/shares/words.h"

namespace loopread::cli {

/// What the fabric of a ball looks like: the shares over its plain rounds, and a sentence.
struct Look {
    Shares shares;
    Verdict verdict;
};
Look look_of(const KnittedBall& ball, const Knitting& knitting);
Json look_json(const Look& look);
/// The shares under their names, rounded.
Json shares_json(const Shares& shares);

}  // namespace loopread::cli
