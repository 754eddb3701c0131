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

/// Light to what a file stores, by a table fine enough for every code.
class Encoder {
public:
    Encoder() : codes_(kSteps + 1) {
        for (int i = 0; i <= kSteps; ++i) {
            const double light = static_cast<double>(i) / kSteps;
            codes_[static_cast<std::size_t>(i)] = srgb8_from_linear({light * light, 0, 0}).r;
        }
    }
    std::uint8_t code(float light) const {
        const float root = std::sqrt(std::clamp(light, 0.0F, 1.0F));
        return codes_[static_cast<std::size_t>(root * kSteps + 0.5F)];
    }

private:
    static constexpr int kSteps = 4096;
    std::vector<std::uint8_t> codes_;
};

/// Highlights end softly instead of being cut off.
float shouldered(float light) {
    constexpr float kKnee = 0.80F;
    if (light <= kKnee) return light;
    const float over = (light - kKnee) / (1 - kKnee);
    return kKnee + (1 - kKnee) * (1 - std::exp(-over));
}

/// Light that falls into a crevice is thrown to and fro by its walls: bright yarn keeps its crevices light.
float deepened(float colour, float open) {
    const float bounced = std::min(colour, 0.95F);
    return open / (1 - bounced * 0.7F * (1 - open));
}

SeenPixels::Light lit(SeenPixels::Light colour, float lamp, float sky) {
    const auto channel = [&](float c) { return c * (kLamp * lamp + kSky * deepened(c, sky)); };
    return {channel(colour.r), channel(colour.g), channel(colour.b)};
}

Picture8 composed(const SeenPixels& seen, const FarLight& far, const PaintOptions& options) {
    const wound::GroundColour ground(options);
    const Encoder encoder;
    Picture8 picture(options.rows, options.columns);
    in_parallel(static_cast<std::size_t>(options.rows), thread_count(options.threads), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            for (int c = 0; c < options.columns; ++c) {
                const float lamp = far.lamp(r, c), sky = far.sky(r, c), covered = seen.coverage(r, c);
                SeenPixels::Light light;
                if (covered > 0) {
                    const auto yarn = lit(seen.colour(r, c), lamp * seen.key(r, c), sky * seen.sky(r, c));
                    light = {yarn.r * covered, yarn.g * covered, yarn.b * covered};
                }
                if (covered < 1) {
                    constexpr float kFill = 0.35F;  // light thrown back on the table from all sides
                    const auto table = lit(ground.at(r, c), kFill + (1 - kFill) * lamp, sky);
                    const float bare = (1 - covered) / (kLamp + kSky);
                    light = {light.r + table.r * bare, light.g + table.g * bare, light.b + table.b * bare};
                }
                picture(r, c) = {encoder.code(shouldered(light.r)), encoder.code(shouldered(light.g)),
                                 encoder.code(shouldered(light.b))};
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
    out.picture = composed(seen, wound::far_light(seen, options), options);
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
