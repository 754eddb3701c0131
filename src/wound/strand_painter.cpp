#include "loopread/wound/strand_painter.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "wound/far_light.h"
#include "wound/ground.h"

namespace loopread {
namespace {

using wound::FarLight;
using wound::kTile;
using wound::SeenPixels;
using wound::YarnTile;

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
        constexpr float kToNearest = 0.5F;  // no call for each of millions of pixels
        return codes_[static_cast<std::size_t>(static_cast<int>(root * kSteps + kToNearest))];
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

float lit(float colour, float lamp, float sky) {
    return colour * (kLamp * lamp + kSky * deepened(colour, sky));
}

/// Some pixels of a row beside each other: what they see, what light falls there, and the light they send back.
struct RowPiece {
    std::size_t pixels = 0;
    const float *lamp = nullptr, *sky = nullptr;     // as it falls on yarn and table
    const float* coverage = nullptr;                 // by yarn
    const float *key = nullptr, *own_sky = nullptr;  // what the yarn's form lets through
};

/// Light of one channel that comes back from the table.
void add_table(const RowPiece& piece, const float* ground, float* sum) {
    constexpr float kFill = 0.35F;  // light thrown back on the table from all sides
    for (std::size_t i = 0; i < piece.pixels; ++i) {
        const float bare = (1 - piece.coverage[i]) / (kLamp + kSky);
        sum[i] += lit(ground[i], kFill + (1 - kFill) * piece.lamp[i], piece.sky[i]) * bare;
    }
}
void add_yarn(const RowPiece& piece, const float* colour, float* sum) {
    for (std::size_t i = 0; i < piece.pixels; ++i)
        sum[i] += lit(colour[i], piece.lamp[i] * piece.key[i], piece.sky[i] * piece.own_sky[i]) * piece.coverage[i];
}

class Composer {
public:
    Composer(const SeenPixels& seen, const FarLight& far, const PaintOptions& options, const Encoder& encoder)
        : seen_(seen), far_(far), ground_(options), encoder_(encoder) {
        const auto columns = static_cast<std::size_t>(options.columns);
        for (std::size_t channel = 0; channel < 3; ++channel) {
            table_[channel].resize(columns);
            sums_[channel].resize(columns);
        }
    }

    void row(int row, Srgb8* out) {
        far_.row(row, light_);
        ground_.row(row, table_);
        const std::size_t columns = sums_[0].size();
        for (std::size_t first = 0; first < columns; first += kTile)
            add_piece(row, first, std::min<std::size_t>(kTile, columns - first));
        for (std::size_t c = 0; c < columns; ++c)
            out[c] = {encoder_.code(sums_[0][c]), encoder_.code(sums_[1][c]), encoder_.code(sums_[2][c])};
    }

private:
    void add_piece(int row, std::size_t first, std::size_t pixels) {
        const YarnTile& tile = seen_.tiles(row / kTile, static_cast<int>(first) / kTile);
        const std::size_t cell = static_cast<std::size_t>(row % kTile) * kTile;
        RowPiece piece{.pixels = pixels,
                       .lamp = light_.lamp.data() + first,
                       .sky = light_.sky.data() + first,
                       .coverage = seen_.coverage.row(row) + first};
        if (!tile.bare()) {
            piece.key = tile.key + cell;
            piece.own_sky = tile.sky + cell;
        }
        const std::array<const float*, 3> yarn{tile.red, tile.green, tile.blue};
        for (std::size_t channel = 0; channel < 3; ++channel) {
            float* sum = sums_[channel].data() + first;
            std::fill(sum, sum + pixels, 0.0F);
            if (!tile.bare()) add_yarn(piece, yarn[channel] + cell, sum);
            add_table(piece, table_[channel].data() + first, sum);
        }
    }

    const SeenPixels& seen_;
    const FarLight& far_;
    wound::GroundColour ground_;
    const Encoder& encoder_;
    wound::RowLight light_;
    std::array<std::vector<float>, 3> table_, sums_;  // red, green, blue
};

Picture8 composed(const SeenPixels& seen, const FarLight& far, const PaintOptions& options) {
    const Encoder encoder;
    Picture8 picture(options.rows, options.columns);
    in_parallel(static_cast<std::size_t>(options.rows), thread_count(options.threads), [&] {
        return [&, composer = Composer(seen, far, options, encoder)](std::size_t row) mutable {
            const int r = static_cast<int>(row);
            composer.row(r, picture.row(r));
        };
    });
    return picture;
}

/// The yarn's colours without any light on them.
Image albedo_of(const SeenPixels& seen) {
    Image albedo(seen.coverage.rows(), seen.coverage.columns());
    for (int r = 0; r < albedo.rows(); ++r)
        for (int c = 0; c < albedo.columns(); ++c) {
            const YarnTile& tile = seen.tiles(r / kTile, c / kTile);
            if (tile.bare()) continue;
            const auto cell = static_cast<std::size_t>(r % kTile) * kTile + static_cast<std::size_t>(c % kTile);
            albedo(r, c) = {static_cast<double>(tile.red[cell]), static_cast<double>(tile.green[cell]),
                            static_cast<double>(tile.blue[cell])};
        }
    return albedo;
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
        out.albedo = albedo_of(seen);
        out.coverage = std::move(seen.coverage);
    }
    return out;
}

}  // namespace loopread
