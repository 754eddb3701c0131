#include "lag_table.h"

#include <algorithm>

#include "loopread/base/require.h"

namespace loopread {

void LagTable::assign(const StitchSums& stitches, std::span<const int> counts) {
    int widest = 0;
    for (const int count : counts) widest = std::max(widest, count);
    products_.assign(static_cast<std::size_t>(widest) + 2 * kLanes, 0);
    known_.assign(products_.size(), 0);
    constexpr unsigned char kWanted = 1;
    for (const int count : counts) {
        require(count > kWidestLean, "a lean is narrower than a round");
        std::fill_n(known_.begin() + (count - kWidestLean), kLeans, kWanted);
    }
    for (std::size_t lag = 0; lag + kLanes <= products_.size();) {
        if (known_[lag] == 0) {
            ++lag;
            continue;
        }
        Lanes products = Lanes::Zero();
        if (lag < stitches.size())
            for (std::size_t c = 0; c < kChannels; ++c)
                add_products(stitches.values(c), stitches.values(c) + lag, stitches.size() - lag, products);
        for (std::size_t j = 0; j < kLanes; ++j) {
            products_[lag + j] = products[static_cast<int>(j)];
            known_[lag + j] = kWanted;
        }
        lag += kLanes;
    }
}

double LagTable::product(std::size_t lag) const {
    require(lag < known_.size() && known_[lag] != 0, "a lag that was asked for");
    return products_[lag];
}

}  // namespace loopread
