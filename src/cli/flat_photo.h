#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/image/image.h"
#include "loopread/photo/read.h"

namespace loopread::cli {

inline constexpr int kUsualStitches = 46;  ///< across a blank, where nothing is known; common practice, no source

/// A picture file whose first bytes were read.
struct PictureFile {
    std::filesystem::path path;
    PictureHeader header;
};

/// How photos of a blank are to be taken.
struct PhotoRequest {
    RavelEdge edge = RavelEdge::top;  ///< where in the photo of the painted side it comes apart
    LinearRgb undyed;                 ///< colour of the undyed yarn, by which uneven light is told
    enum class CornersPicture { written, not_written } corners = CornersPicture::written;  ///< by the command
};

/// A blank on a table is found in the picture: a photo, though no camera is named.
bool shows_a_blank(const PictureFile& file, const BlankOptions& options);

/// What a photo says before its stitches are looked at.
struct FlatPhoto {
    Image flat;        ///< from straight above, in level light
    Picture8 corners;  ///< the photo, small, with what was taken for the blank drawn in
    std::vector<std::string> assumed, warnings;
};

/// Which of the two photos; each has options and words of its own.
enum class PhotoOf { painted_side, other_side };

/// A photo with its blank found, seen from straight above, the colour of the light and its unevenness taken out.
/// @throws Error(input) where the blank cannot be found, Error(usage) for corners or patches that make no sense
FlatPhoto flat_photo(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request, PhotoOf side);

}  // namespace loopread::cli
