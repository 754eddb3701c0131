#include "cli/design_files.h"

#include <cmath>

#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

/// Four places, or six where a thinned paste would lose a ten-thousandth of itself.
std::string strength_text(double strength) {
    const double told = std::round(strength * 1e4) / 1e4;
    return number_text(strength, std::abs(told - strength) > 1e-4 * strength ? 6 : 4);
}

}  // namespace

std::string design_toml(const Design& design, const std::vector<std::string>& stencils,
                        const std::string& ground_picture) {
    std::string toml = "undyed = " + toml_text(hex_text(design.undyed)) + "\n\n[ground]\n";
    if (!ground_picture.empty()) {
        toml += "picture = " + toml_text(ground_picture) + "\n";
    } else if (design.ground.colours.size() == 1) {
        toml += "colour = " + toml_text(hex_text(design.ground.colours.front())) + "\n";
    } else {
        toml += "fade = [";
        for (std::size_t i = 0; i < design.ground.colours.size(); ++i)
            toml += (i == 0 ? "" : ", ") + toml_text(hex_text(design.ground.colours[i]));
        toml += "]\n";
        if (design.ground.along == DesignGround::Along::width) toml += "along = \"width\"\n";
    }
    for (std::size_t i = 0; i < design.layers.size(); ++i) {
        const DesignLayer& layer = design.layers[i];
        toml += "\n[[layer]]\nname = " + toml_text(layer.name) + "\nstencil = " + toml_text(stencils[i]) +
                "\ncolour = " + toml_text(hex_text(layer.colour)) + "\nstrength = " + strength_text(layer.strength) +
                "\npenetration = " + number_text(layer.penetration, 4) + "\n";
    }
    return toml;
}

}  // namespace loopread::cli
