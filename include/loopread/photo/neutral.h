#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "loopread/image/image.h"
#include "loopread/image/sampling.h"

namespace loopread {

/// The colour of the light in a photo, and how to take it out.
struct Cast {
    LinearRgb gain{1, 1, 1};            ///< each channel times this; the patch keeps its luminance
    double removed_de00 = 0;            ///< CIEDE2000 between the patch as photographed and with the cast removed
    bool clipped = false;               ///< the patch is too bright for the camera somewhere: its colour is not known
    bool too_dark = false;              ///< under 2 % of white: noise decides its colour
    bool too_small = false;             ///< too few pixels for a mean
    bool mixed = false;                 ///< the hue changes across the patch: light of two colours, or no single colour
    std::vector<std::string> warnings;  ///< one for each of the above, and what to do
};

/// What is wrong with a patch somebody typed: "fault; what to do", or nothing.
std::optional<std::string> fault_of(const PixelBox& patch, int width, int height);

/// The cast of the light, read off a patch whose colour is known but for its lightness.
///
/// Von Kries in linear sRGB: one gain a channel. The error to be undone is the camera's white balance, itself a gain a
/// channel before encoding; Bradford models how the eye adapts, which is not what happened. From D65 to D50 the two
/// differ by up to CIEDE2000 1.8 on dyed yarns; on what is neutral they agree.
/// @param known  colour of the patch in neutral light: white for a grey card or paper, the yarn's for undyed yarn
/// @throws contract: the patch has no fault
Cast found_cast(const Image& upright, const PixelBox& patch, LinearRgb known = {1, 1, 1});

/// The picture with the cast removed; light over 1 stays.
Image without_cast(const Image& picture, const Cast& cast);

/// How brightness and colour of the light change across a picture: a surface of at most second order in log light for
/// each channel, its mean over the picture 0, so that removing it keeps exposure and white balance.
struct LightField {
    enum class Kind { none, linear, quadratic };
    Kind kind = Kind::none;
    /// Of 1, x, y, x^2, xy, y^2 with x and y in [-1, 1] across the picture; channels r, g, b.
    std::array<std::array<double, 3>, 6> log_light{};
    double strength = 1;  ///< brightest over darkest place of the light
    std::string warning;  ///< why nothing, or only a slope, was taken

    LinearRgb light(double x, double y) const;
};

/// The light over places known to be of one colour.
///
/// Fitted to means of a 16 x 16 grid of cells with Tukey's biweight, so that some places that are of another colour
/// after all do no harm. Of a surface that the places do not hold fast everywhere (an uncertainty at any cell of over
/// one and a half times that of one place) only the slope is taken, or nothing.
/// @param ground  as large as the picture: the weight of each pixel, 1 where the colour is the common one, 0 elsewhere
LightField light_field(const Image& picture, const Plane& ground);

/// The picture as if lit evenly.
Image in_even_light(const Image& picture, const LightField& field);

/// Places of about the hue and saturation of undyed yarn, whatever their brightness, in a picture whose cast has been
/// removed: ground for light_field.
Plane undyed_places(const Image& picture, LinearRgb undyed);

}  // namespace loopread
