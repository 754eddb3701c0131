#pragma once

#include <filesystem>
#include <string>

#include "loopread/image/image.h"

namespace loopread {

enum class PictureFormat { png, jpeg, webp, tiff, bmp, heic };

/// What the first bytes of a picture file say, before a single pixel is decoded.
struct PictureHeader {
    PictureFormat format = PictureFormat::png;
    int width = 0;  ///< upright: after the EXIF orientation has been applied
    int height = 0;
    int orientation = 1;        ///< EXIF, 1..8; 1 for a HEIC, which is turned by its own boxes
    bool names_camera = false;  ///< EXIF Make or Model
    bool from_camera = false;   ///< it names a camera (EXIF Make or Model) or was stored by lossy compression
    std::string colour_note;    ///< what is to be told of its colour profile, as one clause; empty if all went well
};

/// @throws Error(input) for a missing, empty or unreadable file, a kind we do not read (the message says what to export
///         instead), a side of 0, or more than `max_megapixels`
PictureHeader picture_header(const std::filesystem::path& file, double max_megapixels = 200);

struct PictureRequest {
    /// Whole-number reduction: shrink x shrink pixels become one. JPEGs are decoded small in the first place.
    int shrink = 1;
    /// What lies under transparent pixels.
    LinearRgb under_transparent;
    double max_megapixels = 200;
};

/// The upright picture as light, averaged in linear light by `shrink` (the last row and column average what is there).
/// Grey, palette and 16-bit pictures are read rightly; transparent pixels lie over `under_transparent`.
/// Embedded colour profiles are heeded; a broken one is passed over (PictureHeader::colour_note). Colours that sRGB
/// cannot show keep their light, a little under 0 or over 1: it is clipped where it is stored or mixed as dye.
/// @throws Error(input) as picture_header, and for a truncated or corrupt file (JPEG too)
Image read_picture(const std::filesystem::path& file, const PictureRequest& request);

/// A stencil mask as coverage: black on white, black = 1; transparent = 0. It goes by the stored values, whatever their
/// colour profile. Errors as read_picture.
Plane read_stencil(const std::filesystem::path& file, int shrink, double max_megapixels = 200);

}  // namespace loopread
