#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "loopread/shape/gauge.h"
#include "loopread/shape/patterns.h"
#include "loopread/shape/rounds.h"
#include "loopread/shape/sock.h"

namespace loopread {

struct GarmentSize {
    std::optional<int> stitches = std::nullopt;  ///< of the widest round; the garment's usual width if not given
    std::optional<int> rounds = std::nullopt;    ///< of its main part; not for a sock, which goes by lengths
    Gauge gauge = {};
    SockCut sock = {};  ///< read for a sock only
};

/// A garment by name: tube, flat, sock, hat, scarf, cowl or shawl.
/// @throws Error(usage) for any other name, stitches or rounds the garment cannot have, a gauge of 0; as sock()
Garment garment(std::string_view shape, const GarmentSize& size);

/// The names garment() knows.
std::vector<std::string_view> shape_names();

/// A pattern of one's own, worked out. @throws as garment
Garment garment(const Pattern& pattern, const GarmentSize& size);

/// @throws Error(usage) for less than one stitch or round, or more than anyone knits
Garment tube(int stitches, int rounds);
Garment flat(int stitches, int rows);

}  // namespace loopread
