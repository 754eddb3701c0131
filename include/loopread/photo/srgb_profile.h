#pragma once

#include <string>

namespace loopread {

/// The sRGB colour profile as a file holds it; the same bytes on every day.
const std::string& srgb_profile();

/// A PNG or JPEG file of ours with the sRGB profile embedded [ICC 1:2010, annex B.3 and B.4]: shops make pictures
/// smaller by programs that take an unmarked picture for whatever they like.
/// @throws contract for bytes that are neither, or already carry a profile
std::string with_srgb_profile(const std::string& picture_file);

}  // namespace loopread
