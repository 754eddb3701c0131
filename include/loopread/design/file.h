#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "loopread/colour/names.h"
#include "loopread/colour/spaces.h"

namespace loopread {

/// What the whole loop was dipped in, or left undyed.
struct DesignGround {
    std::vector<Srgb8> colours;  ///< one colour, or a fade from the first to the last, evenly spaced
    enum class Along { length, width } along = Along::length;
    std::optional<std::filesystem::path> picture;  ///< instead of colours
};

/// One stencil and its dye.
struct DesignLayer {
    std::string name;
    std::filesystem::path stencil;  ///< black is dyed
    Srgb8 colour;                   ///< of full strength on undyed yarn
    double strength = 1;            ///< multiplies the dye
    double penetration = 0.4;
};

/// A design made of layers, in the order they are dyed.
struct Design {
    Srgb8 undyed{0xf3, 0xed, 0xe0};
    DesignGround ground;
    std::vector<DesignLayer> layers;

    /// Every picture the design refers to, beside the file itself.
    std::vector<std::filesystem::path> pictures() const;
};

/// Reads design.toml; paths in it are beside the file.
/// @throws Error(input) for a missing or broken file, unknown keys, values out of range (with the line)
Design read_design(const std::filesystem::path& file, const ColourBook& book);

}  // namespace loopread
