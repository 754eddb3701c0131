#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/compare/dyed_picture.h"

namespace loopread::cli {

/// One of the photos to be compared, as typed.
struct ComparePhoto {
    std::filesystem::path file;
    std::string prefix;       ///< of its options: "" for BEFORE, "after-" for AFTER
    std::string name;         ///< in words: "before" or "after"
    std::string size, ruler;  ///< how large it is; one of them, or neither
    std::string corners, white, ravel_edge;
    std::string blank;
    LinearRgb undyed;
    enum class Mirrored { no, yes } mirrored = Mirrored::no;
    double max_megapixels = 200;
};

/// A photo ready to be measured.
struct CompareReading {
    DyedPicture picture;
    std::optional<Picture8> corners;  ///< the photo, small, with what was taken for the piece drawn in
    double floor_mm = 0;              ///< finer edges cannot be seen
    std::vector<std::string> assumed, warnings;
};

/// @throws Error(usage) unless it is two places in a photo and a length, like 120,80,920,80=10cm
void check_ruler(const std::string& text, const std::string& option);

/// @throws Error(input) for photos that cannot be used, Error(usage) for measures that make no sense
CompareReading read_compare_photo(const ComparePhoto& photo);

/// A stencil's coverage, black = 1; large ones made smaller.
Plane stencil_coverage(const std::filesystem::path& stencil, double max_megapixels);

/// A photo's colours under a stencil laid over it edge to edge, and beside it.
struct StencilColours {
    LinearRgb ground, motif;
};
StencilColours colours_under(const Plane& coverage, const DyedPicture& photo);

/// A stencil as it should look: coverage in the colours of a photo and of its size.
DyedPicture stencil_as_dyed(const Plane& coverage, const DyedPicture& photo, const StencilColours& colours);

}  // namespace loopread::cli
