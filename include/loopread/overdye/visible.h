#pragma once

#include "loopread/colour/spaces.h"

namespace loopread {

/// Differences in CIELAB that half of the viewers notice on squares so large.
struct NoticeableDifference {
    double l = 0, a = 0, b = 0;
};
/// p = 0.5 of the published model, 1/3 to 6 degrees; of uncalibrated screens and filled squares, so a guide only.
/// @param degrees  over 0 (require)
/// Source: [Stone 2014], coefficients as in two implementations that cite it.
NoticeableDifference noticeable_difference(double degrees);

inline constexpr double kStitchDegrees = 0.43;  ///< a stitch of 3 mm at 40 cm
/// L* difference under which an edge is lost at one-stitch size: [Stone 2014] gives 6.8 there. No standard sets one for
/// knitting.
inline constexpr double kLostUnder = 7;

enum class Held { holds, lost };

/// How two neighbouring colours tell apart.
struct Apart {
    double delta_l = 0;      ///< lightness, never negative
    double delta_e00 = 0;    ///< CIEDE2000
    bool hue_tells = false;  ///< a* or b* differ by more than is noticed at one-stitch size
    Held held = Held::lost;
};
Apart apart(Lab one, Lab other, double lost_under);

/// (L1 + 0.05) / (L2 + 0.05) of the relative luminances, 1 to 21; knows no hue: whether two colours survive a grey
/// photo. Source: [WCAG 2.2].
double luminance_ratio(LinearRgb one, LinearRgb other);
inline constexpr double kGreyPhotoRatio = 3;  ///< for graphics, success criterion 1.4.11 of [WCAG 2.2]

}  // namespace loopread
