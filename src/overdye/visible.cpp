#include "loopread/overdye/visible.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"

namespace loopread {
namespace {

double luminance(LinearRgb c) {
    return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

}  // namespace

NoticeableDifference noticeable_difference(double degrees) {
    require(degrees > 0, "a patch has a size");
    return {5.079 + 0.751 / degrees, 5.339 + 1.541 / degrees, 5.349 + 2.871 / degrees};
}

Apart apart(Lab one, Lab other, double lost_under) {
    const NoticeableDifference noticed = noticeable_difference(kStitchDegrees);
    Apart found;
    found.delta_l = std::abs(one.l - other.l);
    found.delta_e00 = delta_e_2000(one, other);
    found.hue_tells = std::abs(one.a - other.a) >= noticed.a || std::abs(one.b - other.b) >= noticed.b;
    found.held = found.delta_l < lost_under ? Held::lost : Held::holds;
    return found;
}

double luminance_ratio(LinearRgb one, LinearRgb other) {
    const double a = luminance(one) + 0.05, b = luminance(other) + 0.05;
    return std::max(a, b) / std::min(a, b);
}

}  // namespace loopread
