#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/colour/palette.h"
#include "loopread/shares/advice.h"
#include "loopread/shares/look.h"
#include "loopread/table/table.h"
#include "loopread/unravel/unravelled.h"

namespace loopread {

struct ToldBall {
    std::string name;  ///< "ball A"
    FabricLook look;   ///< of its sock, or of plain knitting
    double left_m = 0, left_g = 0;
    std::string left_in_words;
};

struct ToldPair {
    PairDifference own;
    PairRange range;  ///< over the chance of how the strands wound
    std::string words;
};

struct ToldLayer {
    std::string id;
    double contrast_l = 0;  ///< lightness with it less lightness without it, where it lies
};

/// What it will look like.
struct Told {
    std::vector<ToldBall> balls;
    std::optional<ToldPair> pair;  ///< of two strands
    std::string sentence;          ///< of both balls
    double rounds_per_row = 0;
    std::vector<PaletteColour> palette;
    std::vector<ToldLayer> layers;
};
Told told(const DyeTable& table);

/// "ball A", or "the ball" where there is but one.
std::string ball_name(const DyeTable& table, int ball);

}  // namespace loopread
