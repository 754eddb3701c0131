#include "image/bilinear.h"
#include "image/shared_rows.h"
#include "photo/corners_geometry.h"

namespace loopread {
namespace {

/// A projective map along one line of the raster: what is divided grows evenly, but for the arc of a bowed line.
struct MappedLine {
    PhotoPoint start, step, bend;
    double divisor = 1, divisor_step = 0, divisor_bend = 0;

    PhotoPoint operator()(double x) const {
        const double arc = x * (1 - x);
        return (start + step * x + bend * arc) * (1 / (divisor + divisor_step * x + divisor_bend * arc));
    }
};

/// From the unit square to one whose sides bow as the blank's do, and on to the picture.
struct BowedMap {
    Homography picture_of;
    Bows bows;
};

/// In the bowed square the line at y begins at `left`, is `width` wide and sags by `sag` times its arc.
MappedLine line_of(const BowedMap& map, double y) {
    const std::array<double, 9>& m = map.picture_of.m;
    const double arc = 4 * y * (1 - y), left = arc * map.bows[3], width = 1 - arc * (map.bows[3] + map.bows[1]);
    const double sag = 4 * ((1 - y) * map.bows[0] - y * map.bows[2]);
    return {{m[0] * left + m[1] * y + m[2], m[3] * left + m[4] * y + m[5]},
            {m[0] * width, m[3] * width},
            {m[1] * sag, m[4] * sag},
            m[6] * left + m[7] * y + m[8],
            m[6] * width,
            m[7] * sag};
}

/// So many looks along a way that none is more than a pixel from the next.
int looks_along(PhotoPoint way) {
    int looks = 1;
    while (looks * looks < dot(way, way)) ++looks;
    return looks;
}

/// A raster laid over the unit square.
struct SquareRaster {
    double margin_x = 0, margin_y = 0, step_x = 0, step_y = 0;
};

SquareRaster on_square(const RectifiedRaster& raster) {
    const double shorter = std::min(raster.rows, raster.columns);
    SquareRaster square{raster.margin * shorter / raster.columns, raster.margin * shorter / raster.rows};
    square.step_x = (1 - 2 * square.margin_x) / raster.columns;
    square.step_y = (1 - 2 * square.margin_y) / raster.rows;
    return square;
}

/// How many looks there are in a cell, across and down.
struct Looks {
    int across = 1, down = 1;
};

/// By the map's derivatives at the cell's middle; the bows, of a few parts in a hundred, count along the line only.
Looks looks_in(const Homography& map, const MappedLine& line, double x, const SquareRaster& square) {
    const double arc = x * (1 - x), turn = 1 - 2 * x;
    const double part = 1 / (line.divisor + line.divisor_step * x + line.divisor_bend * arc);
    const PhotoPoint middle = line(x);
    const PhotoPoint right = line.step + line.bend * turn - middle * (line.divisor_step + line.divisor_bend * turn);
    const PhotoPoint down = PhotoPoint{map.m[1], map.m[4]} - middle * map.m[7];
    return {looks_along(right * (part * square.step_x)), looks_along(down * (part * square.step_y))};
}

void rectify_row(const Image& upright, const BowedMap& picture_of, const SquareRaster& square, double y, LinearRgb* out,
                 int columns) {
    const MappedLine middles = line_of(picture_of, y + square.step_y / 2);
    for (int c = 0; c < columns; ++c) {
        const double x = square.margin_x + c * square.step_x;
        const Looks looks = looks_in(picture_of.picture_of, middles, x + square.step_x / 2, square);
        const double step_x = square.step_x / looks.across, step_y = square.step_y / looks.down;
        LinearRgb sum;
        for (int j = 0; j < looks.down; ++j) {
            const MappedLine line = line_of(picture_of, y + (j + 0.5) * step_y);
            for (int i = 0; i < looks.across; ++i) {
                const PhotoPoint p = line(x + (i + 0.5) * step_x);
                sum += bilinear(upright, p.x, p.y);
            }
        }
        out[c] = sum * (1.0 / (looks.across * looks.down));
    }
}

}  // namespace

Image rectified(const Image& upright, const Corners& corners, const RectifiedRaster& raster, const Bows& bows) {
    require(!upright.empty() && raster.rows > 0 && raster.columns > 0, "there is a picture and a raster");
    require(raster.margin >= 0 && raster.margin <= 0.25, "a margin is at most a quarter of the shorter side");
    require(!fault_of(corners, upright.columns(), upright.rows()), "the corners have no fault");
    const BowedMap picture_of{from_square(corners), bows};
    const SquareRaster square = on_square(raster);
    Image result(raster.rows, raster.columns);
    for_each_row(raster.rows, raster.columns, [&](int r) {
        rectify_row(upright, picture_of, square, square.margin_y + r * square.step_y, result.row(r), raster.columns);
    });
    return result;
}

}  // namespace loopread
