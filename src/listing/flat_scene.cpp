#include "loopread/listing/flat_scene.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/image/sampling.h"
#include "loopread/listing/table_scene.h"
#include "loopread/raster/laid_flat.h"

namespace loopread {
namespace {

constexpr double kMargin = 0.06;      // of the picture's shorter side around what lies there
constexpr double kBetween = 0.055;    // between the whole blank and its upper part
constexpr double kLeastCloser = 1.3;  // times the size of the whole: less is not worth showing

Image part_as(const Image& picture, double to_row, int rows, int columns) {
    return resampled(picture, {0, 0, static_cast<double>(picture.columns()), to_row}, rows, columns);
}

double luminance(LinearRgb c) {
    return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

/// Where socks lie, in pixels of the table.
struct SockPlaces {
    double pixels_per_cm = 0;
    std::vector<double> x, y;
};

/// The second one above and to the right of the first, so that its leg stands over the first one's foot.
SockPlaces sock_places(const FlatTable& table, const LaidFlatSize& size, std::size_t socks) {
    constexpr double kTable = 0.9;                        // cm of table that a drawn sock brings with it
    constexpr double kStepAcross = 0.62, kStepUp = 0.30;  // of a sock's size; by eye
    const double steps = static_cast<double>(socks) - 1;
    const double wide = size.width.value / 10, high = size.height.value / 10;
    const double all_wide = wide * (1 + kStepAcross * steps), all_high = high * (1 + kStepUp * steps);
    const double room = 1 - 2 * kMargin;
    SockPlaces places;
    places.pixels_per_cm = std::min(room * table.columns / all_wide, room * table.rows / all_high);
    const double left = (table.columns - all_wide * places.pixels_per_cm) / 2;
    const double top = (table.rows - all_high * places.pixels_per_cm) / 2;
    for (std::size_t s = 0; s < socks; ++s) {
        const double step = static_cast<double>(s);
        places.x.push_back(std::round(left + (kStepAcross * wide * step - kTable) * places.pixels_per_cm));
        places.y.push_back(std::round(top + (kStepUp * high * (steps - step) - kTable) * places.pixels_per_cm));
    }
    return places;
}

}  // namespace

double blank_height(int rows) {
    return (1 - 2 * kMargin) * rows;
}

Picture8 blank_scene(const FlatTable& table, const Image& blank, const BlankLayout& layout) {
    require(!blank.empty(), "there is a blank to show");
    const double shape = layout.width() / layout.length();
    const double margin = kMargin * std::min(table.rows, table.columns), between = kBetween * table.columns;
    const double room = table.columns - 2 * margin;
    const double high = std::min(blank_height(table.rows), room / shape), wide = high * shape;
    TableScene scene{.rows = table.rows,
                     .columns = table.columns,
                     .pixels_per_mm = high / layout.length().value,
                     .ground = table.ground};
    const double closer_room = room - wide - between;
    const double closer = std::min(closer_room / wide, 2.6);
    const double all = closer >= kLeastCloser ? wide + between + wide * closer : wide;
    const double left = std::round((table.columns - all) / 2), top = std::round((table.rows - high) / 2);
    const auto pixels = [](double size) { return std::max(1, static_cast<int>(std::lround(size))); };
    scene.cloths.push_back({part_as(blank, blank.rows(), pixels(high), pixels(wide)), left, top});
    if (closer >= kLeastCloser)
        scene.cloths.push_back({part_as(blank, blank.rows() / closer, pixels(high), pixels(wide * closer)),
                                std::round(left + wide + between), top, 1.5 * closer});
    return drawn_scene(scene);
}

Picture8 swatch_scene(const FlatTable& table, const Image& fabric) {
    TableScene scene{
        .rows = table.rows, .columns = table.columns, .pixels_per_mm = table.pixels_per_mm, .ground = table.ground};
    scene.cloths.push_back(
        {fabric, std::round((table.columns - fabric.columns()) / 2.0), std::round((table.rows - fabric.rows()) / 2.0)});
    return drawn_scene(scene);
}

Picture8 socks_scene(const FlatTable& table, const std::vector<SockToLay>& socks, const LoopShape& shape,
                     const Gauge& gauge) {
    require(!socks.empty(), "there are socks to lay down");
    const SockPlaces places = sock_places(table, laid_flat_size(*socks.front().garment, gauge), socks.size());
    TableScene scene{.rows = table.rows,
                     .columns = table.columns,
                     .pixels_per_mm = places.pixels_per_cm / 10,
                     .ground = table.ground};
    for (std::size_t s = 0; s < socks.size(); ++s) {
        const auto drawn_on = [&](LinearRgb paper) {
            LaidFlatLook look;
            look.pixels_per_cm = places.pixels_per_cm;
            look.gauge = gauge;
            look.paper = paper;
            look.seed = 1 + s;
            return laid_flat(*socks[s].fabric, *socks[s].run, *socks[s].garment, shape, look).picture;
        };
        scene.cut.push_back({drawn_on({0, 0, 0}), drawn_on({1, 1, 1}), places.x[s], places.y[s]});
    }
    return drawn_scene(scene);
}

Picture8 above_table(const Picture8& cloth, const FlatTable& table) {
    require(cloth.columns() == table.columns, "the cloth is as wide as the table");
    Picture8 picture(table.rows, table.columns);
    std::copy_n(cloth.begin(), std::min(cloth.size(), picture.size()), picture.begin());
    const int strip = table.rows - cloth.rows(), hem = std::min(cloth.rows(), 24);  // enough cloth to throw its shadow
    if (strip <= 0) return picture;
    TableScene scene{
        .rows = hem + strip, .columns = table.columns, .pixels_per_mm = table.pixels_per_mm, .ground = table.ground};
    Picture8 lower(hem, cloth.columns());
    std::copy_n(cloth.row(cloth.rows() - hem), lower.size(), lower.begin());
    scene.cloths.push_back({decoded(lower)});
    const Picture8 drawn = drawn_scene(scene);
    std::copy(drawn.row(hem), drawn.row(hem) + static_cast<std::ptrdiff_t>(strip) * table.columns,
              picture.row(cloth.rows()));
    return picture;
}

Picture8 made_small(const Picture8& picture, int columns) {
    const auto rows = std::max(1L, std::lround(static_cast<double>(columns) * picture.rows() / picture.columns()));
    // Means of whole pixels first, by a table: light in doubles of millions of pixels takes its time.
    const int step = std::max(1, picture.columns() / (2 * columns));
    Image light(std::max(1, picture.rows() / step), std::max(1, picture.columns() / step));
    std::array<float, 256> light_of_code{};
    for (std::size_t code = 0; code < 256; ++code)
        light_of_code[code] = static_cast<float>(linear_from_srgb8({static_cast<std::uint8_t>(code), 0, 0}).r);
    const double part = 1.0 / (step * step);
    for (int r = 0; r < light.rows(); ++r)
        for (int c = 0; c < light.columns(); ++c) {
            float red = 0, green = 0, blue = 0;
            for (int y = r * step; y < (r + 1) * step; ++y)
                for (const Srgb8 *p = picture.row(y) + static_cast<std::ptrdiff_t>(c) * step, *const end = p + step;
                     p < end; ++p) {
                    red += light_of_code[p->r];
                    green += light_of_code[p->g];
                    blue += light_of_code[p->b];
                }
            light(r, c) =
                LinearRgb{static_cast<double>(red), static_cast<double>(green), static_cast<double>(blue)} * part;
        }
    return encoded(resampled(light, {0, 0, static_cast<double>(light.columns()), static_cast<double>(light.rows())},
                             static_cast<int>(rows), columns));
}

Image upright_like(const Image& picture, const Image& other) {
    constexpr int kRows = 48, kColumns = 16;
    const auto small = [](const Image& image) {
        return resampled(image, {0, 0, static_cast<double>(image.columns()), static_cast<double>(image.rows())}, kRows,
                         kColumns);
    };
    const Image mine = small(picture), wanted = small(other);
    double as_it_is = 0, turned_by_half = 0;
    for (int r = 0; r < kRows; ++r)
        for (int c = 0; c < kColumns; ++c) {
            as_it_is += std::abs(luminance(mine(r, c)) - luminance(wanted(r, c)));
            turned_by_half += std::abs(luminance(mine(kRows - 1 - r, kColumns - 1 - c)) - luminance(wanted(r, c)));
        }
    return turned_by_half < as_it_is ? turned(picture, QuarterTurn::clockwise_180) : picture;
}

}  // namespace loopread
