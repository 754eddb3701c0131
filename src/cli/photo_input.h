#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/image/image.h"
#include "loopread/photo/read.h"

namespace loopread::cli {

/// A photo of a blank made into a flat picture of its colours: seen from straight above, the ravel edge on top, every
/// stitch where it belongs, without the colour of the light and without the shade of the loops.
struct PhotoReading {
    Image picture;
    std::optional<CountPair> counted;  ///< stitches and rows, if they could be counted
    double confidence = 0;             ///< of the count
    Picture8 corners;                  ///< the photo, small, with what was taken for the blank drawn in
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};

/// A blank on a table is found in the picture: a photo, though no camera is named.
bool shows_a_blank(const std::filesystem::path& file, const PictureHeader& header, const BlankOptions& options);

/// @param edge    where in the photo the blank comes apart
/// @param undyed  colour of the undyed yarn, by which uneven light is told
/// @throws Error(input) where the blank cannot be found, Error(usage) for corners or patches that make no sense, and
/// for
///         a ravel edge along which the stitches cannot come apart
PhotoReading read_photo(const std::filesystem::path& file, const PictureHeader& header, const BlankOptions& options,
                        RavelEdge edge, LinearRgb undyed);

}  // namespace loopread::cli
