#include "loopread/wound/strand_painter.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "wound/far_light.h"
#include "wound/ground.h"

namespace loopread {
namespace {

using wound::FarLight;
using wound::SeenPixels;

constexpr float kLamp = 0.84F, kSky = 0.50F;  // chosen by eye: yarn facing the lamp shows about its own colour

/// Highlights end softly instead of being cut off.
double shouldered(double light) {
    constexpr double kKnee = 0.80;
    if (light <= kKnee) return light;
    const double over = (light - kKnee) / (1 - kKnee);
    return kKnee + (1 - kKnee) * (1 - std::exp(-over));
}

/// Light to what a file stores, by a table fine enough for every code.
class Encoder {
public:
    Encoder() : codes_(kSteps * kMost + 2) {
        for (std::size_t i = 0; i < codes_.size(); ++i) {
            const double root = static_cast<double>(i) / kSteps;
            codes_[i] = srgb8_from_linear({shouldered(root * root), 0, 0}).r;
        }
    }
    std::uint8_t code(float light) const {
        const float root = std::sqrt(std::clamp(light, 0.0F, static_cast<float>(kMost * kMost)));
        return codes_[static_cast<std::size_t>(static_cast<int>(root * kSteps + 0.5F))];
    }

private:
    static constexpr int kSteps = 4096, kMost = 2;  // the shoulder shows white long before
    std::vector<std::uint8_t> codes_;
};

/// Light that falls into a crevice is thrown to and fro by its walls: bright yarn keeps its crevices light.
float deepened(float colour, float open) {
    const float bounced = std::min(colour, 0.95F);
    return open / (1 - bounced * 0.7F * (1 - open));
}

SeenPixels::Light lit(SeenPixels::Light colour, float lamp, float sky) {
    const auto channel = [&](float c) { return c * (kLamp * lamp + kSky * deepened(c, sky)); };
    return {channel(colour.r), channel(colour.g), channel(colour.b)};
}

SeenPixels::Light plus(SeenPixels::Light a, SeenPixels::Light b, float share) {
    return {a.r + b.r * share, a.g + b.g * share, a.b + b.b * share};
}

Picture8 composed(const SeenPixels& seen, const FarLight& far, const PaintOptions& options) {
    const wound::GroundColour ground(options);
    const Encoder encoder;
    Picture8 picture(options.rows, options.columns);
    in_parallel(static_cast<std::size_t>(options.rows), thread_count(options.threads), [&] {
        return [&, light = wound::RowLight()](std::size_t row) mutable {
            const int r = static_cast<int>(row);
            far.row(r, light);
            for (int c = 0; c < options.columns; ++c) {
                const float lamp = light.lamp[static_cast<std::size_t>(c)],
                            sky = light.sky[static_cast<std::size_t>(c)];
                const float covered = seen.coverage(r, c);
                SeenPixels::Light sum;
                if (covered > 0)
                    sum = plus(sum, lit(seen.colour(r, c), lamp * seen.key(r, c), sky * seen.sky(r, c)), covered);
                if (covered < 1) {
                    constexpr float kFill = 0.35F;  // light thrown back on the table from all sides
                    sum = plus(sum, lit(ground.at(r, c), kFill + (1 - kFill) * lamp, sky),
                               (1 - covered) / (kLamp + kSky));
                }
                picture(r, c) = {encoder.code(sum.r), encoder.code(sum.g), encoder.code(sum.b)};
            }
        };
    });
    return picture;
}

}  // namespace

PaintedStrands painted_strands(const std::vector<StrandPath>& paths, const std::vector<ColourRun>& runs,
                               const PaintOptions& options) {
    require(options.rows > 0 && options.columns > 0 && options.view.pixels_per_mm > 0, "a picture has pixels");
    require(options.view.elevation > 0.1, "the table is looked at from above");
    SeenPixels seen = wound::seen_pixels(paths, runs, options);
    PaintedStrands out;
    out.picture = composed(seen, FarLight(seen, options), options);
    if (options.keep_albedo == KeepAlbedo::yes) {
        out.albedo = Image(options.rows, options.columns);
        std::transform(seen.colour.begin(), seen.colour.end(), out.albedo.begin(), [](SeenPixels::Light c) {
            return LinearRgb{static_cast<double>(c.r), static_cast<double>(c.g), static_cast<double>(c.b)};
        });
        out.coverage = std::move(seen.coverage);
    }
    return out;
}

}  // namespace loopread
