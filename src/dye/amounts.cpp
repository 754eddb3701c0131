#include "loopread/dye/amounts.h"

#include "loopread/base/require.h"

namespace loopread {

Millilitres stock_for(Grams fibre, DepthOfShade depth, StockStrength stock) {
    require(stock.value > 0, "stock > 0");
    return {fibre.value * depth.value / stock.value};
}

Grams dye_for(Grams fibre, DepthOfShade depth) {
    return {fibre.value * depth.value / 100};
}

Grams dye_in(Millilitres liquid, StockStrength strength) {
    return {liquid.value * strength.value / 100};
}

DepthOfShade depth_of(Grams dye, Grams fibre) {
    require(fibre.value > 0, "fibre > 0");
    return {100 * (dye / fibre)};
}

}  // namespace loopread
