// design.toml. Its stencils are named, not opened: what they hold is the picture target's.

#include "cli/design_files.h"
#include "fuzz/promises.h"
#include "loopread/design/file.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr std::size_t kMostBytes = 20'000;
constexpr std::size_t kMostLayers = 64;

void hold_limits(const Design& design) {
    hold(!design.ground.colours.empty(), "the ground has a colour");
    hold(design.layers.size() <= kMostLayers, "there are at most 64 layers");
    for (const DesignLayer& layer : design.layers) {
        hold(layer.strength >= 0 && layer.strength <= 100, "a strength lies between 0 and 100");
        hold(layer.penetration >= 0 && layer.penetration <= 1, "a penetration is a share");
        hold(!layer.stencil.empty(), "a layer has a stencil");
    }
}

std::string written(const Design& design) {
    std::vector<std::string> stencils;
    for (const DesignLayer& layer : design.layers) stencils.push_back(layer.stencil.string());
    return cli::design_toml(design, stencils, design.ground.picture ? design.ground.picture->string() : "");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const fuzz::InputFile file(fuzz::text_of(data, size));
    const auto design = fuzz::unless_refused([&] { return read_design(file.path(), {}); });
    if (!design) return 0;
    hold_limits(*design);
    const std::string text = written(*design);
    file.write(text);
    const Design again = read_design(file.path(), {});
    hold(again.pictures() == design->pictures(), "pictures keep their places");
    hold(written(again) == text, "what was written reads back");
    return 0;
}
