// The dye table's document, as a page hands it over or a saved file holds it.

#include <algorithm>

#include "fuzz/promises.h"
#include "wasm/state_json.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr std::size_t kMostBytes = 50'000;

bool is_share(double value) {
    return value >= 0 && value <= 1;
}

void hold_limits(const TableState& state) {
    hold(state.blank.stitches.value_or(1) >= 1 && state.blank.stitches.value_or(1) <= 2000, "a blank has stitches");
    hold(state.blank.rows.value_or(1) >= 1 && state.blank.rows.value_or(1) <= 20'000, "a blank has rows");
    hold(state.knitting.stitches >= 1 && state.knitting.stitches <= 2000, "a round has stitches");
    hold(state.knitters >= 1 && state.knitters <= 1000, "there are knitters");
    hold(is_share(state.dye.wrap) && is_share(state.dye.strike), "wrap and strike are shares");
    hold(state.layers.size() <= 40, "there are at most 40 layers");
    for (const TableLayer& layer : state.layers)
        hold(is_share(layer.strength) && is_share(layer.penetration), "strength and penetration are shares");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const std::string text = fuzz::text_of(data, size);
    const auto document = fuzz::unless_refused([&] { return wasm::parsed_object(text, "document"); });
    if (!document) return 0;
    const auto state = fuzz::unless_refused([&] { return wasm::table_state(*document); });
    if (!state) return 0;
    hold_limits(*state);
    hold(wasm::table_state(wasm::parsed_object(document->dump(), "document")) == *state, "what was saved reads back");
    return 0;
}
