#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/colour/kubelka_munk.h"
#include "loopread/image/image.h"
#include "loopread/image/sampling.h"
#include "loopread/raster/cloth.h"

/// Made-up dyed pieces whose edges are known exactly.
namespace loopread::dyed_scene {

/// A stencilled rectangle, millimetres, turned about its middle.
struct Panel {
    double x = 0, y = 0, width = 0, height = 0, degrees = 0;
};

/// Quay walls and crates, as seen from above.
inline const std::vector<Panel>& harbour_panels() {
    static const std::vector<Panel> panels = {{45, 40, 50, 36, 6},    {120, 45, 44, 46, -9},   {190, 40, 46, 40, 14},
                                              {50, 110, 46, 44, -17}, {125, 115, 50, 40, 33},  {195, 110, 40, 50, -5},
                                              {45, 185, 44, 44, 24},  {120, 190, 46, 46, 4},   {190, 185, 48, 40, -12},
                                              {50, 255, 50, 40, 3},   {125, 260, 40, 44, -28}, {195, 255, 44, 44, 8}};
    return panels;
}

inline double normal_share(double x) {
    return 0.5 * std::erfc(-x / std::numbers::sqrt2);
}

/// Coverage by the panels, their edges Gaussian: exact, since a rectangle blurred is a product of two blurred steps.
inline double coverage(double x, double y, double sigma) {
    double open = 1;
    for (const Panel& panel : harbour_panels()) {
        const double turn = panel.degrees * std::numbers::pi / 180;
        const double u = (x - panel.x) * std::cos(turn) + (y - panel.y) * std::sin(turn);
        const double v = (y - panel.y) * std::cos(turn) - (x - panel.x) * std::sin(turn);
        if (std::abs(u) > panel.width || std::abs(v) > panel.height) continue;
        const double across = normal_share((u + panel.width / 2) / sigma) - normal_share((u - panel.width / 2) / sigma);
        const double along =
            normal_share((v + panel.height / 2) / sigma) - normal_share((v - panel.height / 2) / sigma);
        open *= 1 - across * along;
    }
    return 1 - open;
}

/// A dyed piece: colours, how soft its edges are, what else happened to it.
struct DyedPiece {
    double width = 240, height = 300;  ///< mm
    double left = 0, top = 0;          ///< mm: where its picture begins
    double sigma = 0.6;                ///< mm, of the edges
    LinearRgb ground{0.55, 0.5, 0.4}, motif{0.06, 0.1, 0.25};
    enum class Mixing { light, dye } mixing = Mixing::light;  ///< what is Gaussian: light, or dye in K/S
    double stencil_in_ground = 0;                             ///< share of the motif's dye, everywhere
    double halo = 0, halo_mm = 12;  ///< share of the motif's dye at its edges, falling off over so far
    double broken = 0;              ///< a ground of two hues: standard deviation of log K/S, opposite in r and b
    double gain = 1;                ///< exposure
    double noise = 0;               ///< standard deviation, of white
    double blur = 0;                ///< of the lens: standard deviation, pixels
    std::uint64_t seed = 1;
};

inline double mottle(double x, double y, std::uint64_t seed) {
    const double s = 0.7 * static_cast<double>(seed % 17);
    return std::sin(x / 9 + s) * std::cos(y / 11 - s) + std::sin((x + y) / 14 + 2 * s) * 0.7;
}

inline LinearRgb colour_at(const DyedPiece& piece, double x, double y) {
    x += piece.left;
    y += piece.top;
    const double cover = coverage(x, y, piece.sigma);
    KOverS ground = k_over_s(piece.ground);
    const KOverS dye = k_over_s(piece.motif) - k_over_s(piece.ground);
    if (piece.broken > 0) {
        const double m = piece.broken * mottle(x, y, piece.seed);
        ground = {ground.r * std::exp(m), ground.g, ground.b * std::exp(-m)};
    }
    const double halo = piece.halo > 0 ? piece.halo * coverage(x, y, piece.halo_mm) * 2 * (1 - cover) : 0;
    const LinearRgb bare = linear_from_k_over_s(ground + dye * (piece.stencil_in_ground + halo));
    if (piece.mixing == DyedPiece::Mixing::light) return mixed(bare, piece.motif, cover);
    return linear_from_k_over_s(ground + dye * (cover + (1 - cover) * (piece.stencil_in_ground + halo)));
}

/// As a camera stores it: 8 bits.
inline Image photographed(Image image, const DyedPiece& piece) {
    if (piece.blur > 0) image = blurred(image, piece.blur, piece.blur);
    Random random(piece.seed, 991);
    for (LinearRgb& pixel : image)
        pixel = pixel * piece.gain +
                LinearRgb{piece.noise * random.normal(), piece.noise * random.normal(), piece.noise * random.normal()};
    return decoded(encoded(image));
}

/// Drawn without any texture.
inline Image plain(const DyedPiece& piece, double mm_per_pixel) {
    Image image(static_cast<int>(std::lround(piece.height / mm_per_pixel)),
                static_cast<int>(std::lround(piece.width / mm_per_pixel)));
    constexpr int kSights = 2;  // each way in a pixel
    for (int r = 0; r < image.rows(); ++r)
        for (int c = 0; c < image.columns(); ++c) {
            LinearRgb sum;
            for (int i = 0; i < kSights * kSights; ++i)
                sum += colour_at(piece, (c + (i % kSights + 0.5) / kSights) * mm_per_pixel,
                                 (r + (static_cast<double>(i / kSights) + 0.5) / kSights) * mm_per_pixel);
            image(r, c) = sum * (1.0 / (kSights * kSights));
        }
    return photographed(std::move(image), piece);
}

/// Which bit of paint a bit of yarn takes: what lies under it, or what lies under the middle of its half stitch.
enum class Takes { where_it_lies, whole_legs };

/// The same on knitting: stitches across the piece, so many pixels each; rows follow from w/c = 1.31.
struct Knitting {
    int stitches = 46;
    double pixels = 12;
    Takes takes = Takes::where_it_lies;
};
inline Image knitted(const DyedPiece& piece, const Knitting& knitting) {
    constexpr double kRatio = 1.31;
    const double stitch = piece.width / knitting.stitches, row = stitch / kRatio;
    const int rows = static_cast<int>(std::lround(piece.height / row));
    const LoopShape shape(LoopProportions{kRatio, std::sqrt(23.1 / kRatio)});
    Cloth cloth(rows, knitting.stitches, 1);
    for (int r = 0; r < rows; ++r)
        for (int k = 0; k < knitting.stitches; ++k) {
            cloth.set_worked(r, k);
            cloth.angle(r, k) = static_cast<std::uint8_t>((r * 3 + k) / 5 % CellShares::kAngles);
            for (int p = 0; p < Cloth::kPlaces; ++p) {
                const LoopVector at = shape.point(shape.t_at((p + 0.5) / Cloth::kPlaces));
                const bool whole = knitting.takes == Takes::whole_legs;
                const double x = whole ? (p < Cloth::kPlaces / 2 ? -0.25 : 0.25) : at.x;
                const double y = whole ? 0 : at.y;
                cloth.loop(r, k, 0)[p] = colour_at(piece, (k + 0.5 + x) * stitch, (r + 0.5) * row - y * stitch);
            }
        }
    ClothLook look;
    look.pixels_per_stitch = knitting.pixels;
    look.wale_per_course = kRatio;
    look.seed = piece.seed;
    return photographed(drawn_cloth(cloth, shape, look), piece);
}

}  // namespace loopread::dyed_scene
