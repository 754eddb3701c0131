#pragma once

#include <array>
#include <optional>
#include <string>

#include "loopread/image/image.h"

namespace loopread {

/// A place in the upright picture; pixel (0, 0) covers [0, 1) x [0, 1).
struct PhotoPoint {
    double x = 0, y = 0;
};
/// Clockwise from the top left.
using Corners = std::array<PhotoPoint, 4>;

/// How deep each side (top, right, bottom, left) lies inside the straight line between its corners, half way along it,
/// as a part of the blank's extent across that side; under 0 where it bulges. Cloth bows: by half a stitch soon enough.
using Bows = std::array<double, 4>;

/// Where the blank lies in a photo, or why that could not be told.
struct BlankCorners {
    Corners corners;        ///< all 0 if there is a why_not
    Bows bows{};            ///< of the sides between them
    double confidence = 0;  ///< 0..1; at least kSureOfCorners where the corners were found
    std::string why_not;    ///< "fault; give --corners"; empty if they were found

    bool found() const { return why_not.empty(); }
};
inline constexpr double kSureOfCorners = 0.5;

/// The corners of the one rectangle of knitted cloth, two to six times as long as wide, that lies whole on a plain
/// table, in perspective.
///
/// The table is a smooth surface of colour fitted to what runs round the frame; a shadow is table made darker. Along
/// each side the places where cloth begins are found to fractions of a pixel and joined by a robust parabola (cloth
/// bows); corners are where the parabolas of two sides cross. A narrower strip of waste yarn and loose threads do not
/// count. Anything that could be read in two ways is refused.
BlankCorners found_corners(const Image& upright);

/// What is wrong with corners somebody typed: "fault; what to do", or nothing.
std::optional<std::string> fault_of(const Corners& corners, int width, int height);

/// What a rectified picture is sampled to.
struct RectifiedRaster {
    int rows = 0;
    int columns = 0;
    /// Left out along every edge, as a part of the shorter side: edges curl and show their back. chosen
    double margin = 0.01;
};

/// The blank seen from straight above, top left corner at the top left, its bowed sides made straight: area average in
/// linear light.
/// @throws contract: picture not empty, rows and columns over 0, margin in [0, 0.25], corners without a fault
Image rectified(const Image& upright, const Corners& corners, const RectifiedRaster& raster, const Bows& bows = {});

/// The picture with the corners drawn in, to be looked at: lines seen on light and dark, the top left corner filled.
/// @param longest_side  pixels; a larger picture is made smaller
Picture8 corners_picture(const Image& upright, const Corners& corners, int longest_side = 900);

}  // namespace loopread
