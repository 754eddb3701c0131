#pragma once

#include <string>

namespace loopread::bench {

/// A design scaled up to 12 megapixels with the grain of a camera, as a JPEG.
void write_large_design(const std::string& design, const std::string& jpeg);

/// A photo as large as a phone takes it (12 megapixels), as a JPEG.
/// @param seed  of the grain; 0: none
void write_large_photo(const std::string& photo, unsigned seed, const std::string& jpeg);

}  // namespace loopread::bench
