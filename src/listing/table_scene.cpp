#include "loopread/listing/table_scene.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/parallel.h"
#include "loopread/base/require.h"
#include "loopread/raster/quick_cloth.h"

namespace loopread {
namespace {

// Chosen by eye.
constexpr double kShadow = 0.50;                // of the light that cloth takes from the table right beside it
constexpr double kContact = 0.30;               // the same where cloth touches the table, all round
constexpr double kContactMm = 0.9;              // how far that reaches
constexpr double kFallsX = 0.9, kFallsY = 1.1;  // times the cloth's height: the lamp stands high at the upper left
constexpr double kSoft = 1.1;                   // times the cloth's height: standard deviation of the shadow's edge

/// Part of a soft-edged interval's inside that a place has: 1 deep inside, 0 far off.
double inside(double at, double from, double to, double sigma) {
    const double scale = 1 / (sigma * std::sqrt(2.0));
    return 0.5 * (std::erf((at - from) * scale) - std::erf((at - to) * scale));
}

/// Light that falls beside a rectangle of cloth, along one axis; the two axes multiply.
std::vector<double> shade_along(int pixels, double from, double to, double sigma) {
    std::vector<double> shade(static_cast<std::size_t>(pixels));
    for (int i = 0; i < pixels; ++i) shade[static_cast<std::size_t>(i)] = inside(i + 0.5, from, to, sigma);
    return shade;
}

/// The shadows of one cloth, worked out per row and column.
struct ClothShade {
    std::vector<double> fallen_x, fallen_y, contact_x, contact_y;

    ClothShade(const LyingCloth& cloth, const TableScene& scene) {
        const double high = cloth.height_mm * scene.pixels_per_mm, contact = kContactMm * scene.pixels_per_mm;
        const double right = cloth.x + cloth.picture.columns(), bottom = cloth.y + cloth.picture.rows();
        fallen_x = shade_along(scene.columns, cloth.x + kFallsX * high, right + kFallsX * high, kSoft * high);
        fallen_y = shade_along(scene.rows, cloth.y + kFallsY * high, bottom + kFallsY * high, kSoft * high);
        contact_x = shade_along(scene.columns, cloth.x, right, contact);
        contact_y = shade_along(scene.rows, cloth.y, bottom, contact);
    }
    float light(int row, int column) const {
        const auto r = static_cast<std::size_t>(row), c = static_cast<std::size_t>(column);
        return static_cast<float>((1 - kShadow * fallen_x[c] * fallen_y[r]) *
                                  (1 - kContact * contact_x[c] * contact_y[r]));
    }
};

/// Where a picture laid at (x, y) has a pixel for this one of the scene.
const LinearRgb* pixel_of(const Image& picture, double x, double y, int row, int column) {
    const int r = row - static_cast<int>(y), c = column - static_cast<int>(x);
    if (r < 0 || c < 0 || r >= picture.rows() || c >= picture.columns()) return nullptr;
    return &picture(r, c);
}

struct ScenePainter {
    const TableScene& scene;
    const Picture8& ground;
    std::vector<float> light_of_code;
    std::vector<ClothShade> shades;

    ScenePainter(const TableScene& s, const Picture8& g) : scene(s), ground(g), light_of_code(256) {
        for (std::size_t code = 0; code < 256; ++code)
            light_of_code[code] = static_cast<float>(linear_from_srgb8({static_cast<std::uint8_t>(code), 0, 0}).r);
        for (const LyingCloth& cloth : scene.cloths) shades.emplace_back(cloth, scene);
    }

    LinearRgb light(int row, int column) const {
        const Srgb8 code = ground(row, column);
        LinearRgb light{light_of_code[code.r], light_of_code[code.g], light_of_code[code.b]};
        for (std::size_t i = 0; i < scene.cloths.size(); ++i) {
            const LyingCloth& cloth = scene.cloths[i];
            const LinearRgb* own = pixel_of(cloth.picture, cloth.x, cloth.y, row, column);
            light = own != nullptr ? *own : light * static_cast<double>(shades[i].light(row, column));
        }
        for (const CutCloth& cut : scene.cut) {
            const LinearRgb* black = pixel_of(cut.on_black, cut.x, cut.y, row, column);
            if (black == nullptr) continue;
            const LinearRgb& white = *pixel_of(cut.on_white, cut.x, cut.y, row, column);
            light = {black->r + (white.r - black->r) * light.r, black->g + (white.g - black->g) * light.g,
                     black->b + (white.b - black->b) * light.b};
        }
        return light;
    }
};

Picture8 bare_table(const TableScene& scene) {
    PaintOptions bare;
    const bool plain = scene.ground.kind == GroundKind::plain;  // every pixel of it alike
    bare.rows = plain ? 1 : scene.rows;
    bare.columns = plain ? 1 : scene.columns;
    bare.view.pixels_per_mm = scene.pixels_per_mm;
    bare.ground = scene.ground;
    Picture8 picture = painted_strands({}, {}, bare).picture;
    return plain ? Picture8(scene.rows, scene.columns, picture(0, 0)) : picture;
}

}  // namespace

Picture8 drawn_scene(const TableScene& scene) {
    require(scene.rows > 0 && scene.columns > 0 && scene.pixels_per_mm > 0, "a scene has a size");
    Picture8 picture = bare_table(scene);
    const ScenePainter painter(scene, picture);
    in_parallel(static_cast<std::size_t>(scene.rows), thread_count(0), [&] {
        return [&](std::size_t row) {
            const int r = static_cast<int>(row);
            for (int c = 0; c < scene.columns; ++c) {
                const LinearRgb light = painter.light(r, c);
                picture(r, c) = {quickly_encoded(static_cast<float>(light.r)),
                                 quickly_encoded(static_cast<float>(light.g)),
                                 quickly_encoded(static_cast<float>(light.b))};
            }
        };
    });
    return picture;
}

}  // namespace loopread
