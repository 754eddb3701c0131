#pragma once

#include "loopread/dye/units.h"

namespace loopread {

// Of dyes on DRY fibre. Depth of shade D % is D g of dry dye on 100 g of fibre, an S % stock S g of dry dye made up to
// 100 ml (definitions of two craft references and a supplier's technical note).

/// ml = fibre g x depth % / stock %. @throws contract unless the stock is over 0
Millilitres stock_for(Grams fibre, DepthOfShade depth, StockStrength stock);
/// The dry dye for that depth.
Grams dye_for(Grams fibre, DepthOfShade depth);
/// The dry dye in so much stock (or paste).
Grams dye_in(Millilitres liquid, StockStrength strength);
/// The reverse: what depth so much dry dye is. @throws contract unless there is fibre
DepthOfShade depth_of(Grams dye, Grams fibre);

/// Over this much dye on the fibre is a slip of the pen: deep blacks take 2 to 5 % (common practice, no source; a
/// patent on acid-dyed nylon, wool and silk goes from 0.1 to 5.0 % [US 5925149]).
inline constexpr DepthOfShade kDeepest{8.0};

}  // namespace loopread
