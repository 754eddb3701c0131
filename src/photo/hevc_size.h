#pragma once

#include <cstdint>
#include <string_view>

namespace loopread {

/// The most pixels a coded picture of a HEIC has by the set-up its boxes hand to the decoder (hvcC). They may differ
/// from what the box of sizes says, and it is by them that the decoder takes memory. 0 if there are none.
std::int64_t most_coded_pixels(std::string_view heic);

}  // namespace loopread
