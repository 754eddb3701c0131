#pragma once

#include <optional>
#include <string>

namespace loopread {

/// Primaries and transfer as the numbers of [ITU-T H.273], which PNG (cICP) and HEIC (nclx) carry; 2 is "not said".
struct CodePoints {
    int primaries = 2;
    int transfer = 2;
};

/// What a file says its codes stand for; where it says nothing, sRGB. A file that says it twice is taken at the word
/// its format ranks first, and only that is here.
struct ColourTags {
    std::string profile;  ///< ICC, as it lies in the file
    std::optional<CodePoints> code_points;
    bool damaged = false;  ///< there is a profile, but not all of it
};

}  // namespace loopread
