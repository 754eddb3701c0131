#include "cli/blank_ground.h"

#include <algorithm>

#include "loopread/blank/paint.h"
#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"

namespace loopread::cli {

Image ground_fade(const DesignGround& ground) {
    constexpr int kSteps = 1024;
    const bool along_length = ground.along == DesignGround::Along::length;
    Image strip(along_length ? kSteps : 1, along_length ? 1 : kSteps);
    const auto stops = ground.colours.size();
    for (int i = 0; i < kSteps; ++i) {
        const double place = (i + 0.5) / kSteps * static_cast<double>(stops - 1);
        const auto stop = std::min(static_cast<std::size_t>(place), stops - 2);
        strip(along_length ? i : 0, along_length ? 0 : i) =
            mixed(linear_from_srgb8(ground.colours[stop]), linear_from_srgb8(ground.colours[stop + 1]),
                  place - static_cast<double>(stop));
    }
    return strip;
}

std::optional<LinearRgb> dyed_ground(const Image& picture, LinearRgb undyed) {
    constexpr double kOfGround = 6;              // CIEDE2000 from the estimated ground; chosen: loops shade each other
    constexpr double kSurelyDyed = 10;           // ... from undyed yarn, at one luminance
    constexpr double kLight = 55;                // L*; darker is paint all over
    constexpr double kMuch = 0.3, kNone = 0.02;  // of the picture
    const Image small =
        resampled(picture, {0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())},
                  std::max(1, picture.rows() / 6), std::max(1, picture.columns() / 8));
    const Image ground = estimated_ground(small);
    const auto luminance = [](LinearRgb c) { return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b; };
    const auto from_undyed = [&](LinearRgb c) {
        const double light = luminance(c);
        return light > 0 ? delta_e_2000(lab_from_linear(c * (luminance(undyed) / light)), lab_from_linear(undyed))
                         : 100;
    };
    double on_ground = 0, is_undyed = 0;
    LinearRgb sum;
    for (int r = 0; r < small.rows(); ++r)
        for (int c = 0; c < small.columns(); ++c) {
            if (from_undyed(small(r, c)) < kOfGround) is_undyed += 1;
            if (delta_e_2000(lab_from_linear(small(r, c)), lab_from_linear(ground(r, c))) >= kOfGround) continue;
            on_ground += 1;
            sum += small(r, c);
        }
    const auto all = static_cast<double>(small.size());
    if (on_ground < kMuch * all || is_undyed > kNone * all) return std::nullopt;
    const LinearRgb mean = sum * (1 / on_ground);
    if (lab_from_linear(mean).l < kLight || from_undyed(mean) < kSurelyDyed) return std::nullopt;
    return mean;
}

}  // namespace loopread::cli
