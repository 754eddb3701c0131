#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/random.h"
#include "loopread/raster/cloth.h"
#include "raster/stamp.h"

using namespace loopread;

namespace {

/// A displacement of a loop, as drawn_cloth describes it.
LoopVector shift_of(const ClothLook& look, int row, int column) {
    constexpr double kWidth = 0.045;
    return {look.unevenness * kWidth * (2 * hashed_unit(look.seed, row, column, 0) - 1) * 1.6,
            look.unevenness * kWidth * (2 * hashed_unit(look.seed, row, column, 1) - 1) +
                look.unevenness * 0.03 * (2 * hashed_unit(look.seed, row, -1, 2) - 1),
            0};
}

/// Cloth line of sight by line of sight, everything worked out anew for each: slow, but plainly what is meant.
class PlainCloth {
public:
    PlainCloth(const Cloth& cloth, const LoopShape& shape, const ClothLook& look) : cloth_(cloth), look_(look) {
        across_ = std::clamp(static_cast<int>(std::ceil(look.sights / look.pixels_per_stitch)), 2, 16);
        const int columns = std::clamp(static_cast<int>(std::lround(look.pixels_per_stitch * across_)), 24, 96);
        const int rows = std::max(8, static_cast<int>(std::lround(columns / look.wale_per_course)));
        const int angles = cloth.strands() == 1 ? 1 : CellShares::kAngles;
        for (int i = 0; i < angles; ++i)
            stamps_.push_back(StampSights(LoopCell(shape, cloth.strands(), 2 * std::numbers::pi * i / angles),
                                          look.side, rows, columns)
                                  .lit(kLamp, relief_at(look.pixels_per_stitch)));
    }

    /// @param rows, columns  of the picture
    LinearRgb pixel(int y, int x, int rows, int columns) const {
        LinearRgb sum;
        for (int j = 0; j < across_; ++j)
            for (int i = 0; i < across_; ++i)
                sum += sight((x + (i + 0.5) / across_) / columns * cloth_.columns(),
                             (y + (j + 0.5) / across_) / rows * cloth_.rows());
        return sum * (1.0 / (across_ * across_));
    }

private:
    LoopVector shift_at(double column, double row) const {
        const double x = std::clamp(column + 0.5, 0.0, cloth_.columns() + 2 - 1.001);
        const double y = std::clamp(row + 0.5, 0.0, cloth_.rows() + 2 - 1.001);
        const int left = static_cast<int>(x), top = static_cast<int>(y);
        const auto across = [&](int r) {
            return shift_of(look_, r, left) * (1 - (x - left)) + shift_of(look_, r, left + 1) * (x - left);
        };
        return across(top) * (1 - (y - top)) + across(top + 1) * (y - top);
    }

    LinearRgb sight(double column, double row) const {
        const LoopVector shift = shift_at(column, row);
        const double x = column + shift.x, y = row + shift.y;
        const int own_column = std::clamp(static_cast<int>(std::floor(x)), 0, cloth_.columns() - 1);
        const int own_row = std::clamp(static_cast<int>(std::floor(y)), 0, cloth_.rows() - 1);
        if (!cloth_.worked(own_row, own_column)) return look_.paper;
        const Stamp& stamp = stamps_[cloth_.angle(own_row, own_column) % stamps_.size()];
        const StampPoint& point =
            stamp(std::min(static_cast<int>((y - std::floor(y)) * stamp.rows()), stamp.rows() - 1),
                  std::min(static_cast<int>((x - std::floor(x)) * stamp.columns()), stamp.columns() - 1));
        int c = std::clamp(own_column + point.right, 0, cloth_.columns() - 1);
        int r = std::clamp(own_row - point.up, 0, cloth_.rows() - 1);
        if (!cloth_.worked(r, c)) {
            c = own_column;
            r = own_row;
        }
        const LinearRgb* colour = cloth_.loop(r, c, point.strand) + point.place;
        return mixed(colour[0], colour[1], static_cast<double>(point.toward_next)) * static_cast<double>(point.shade);
    }

    const Cloth& cloth_;
    const ClothLook& look_;
    int across_ = 2;
    std::vector<Stamp> stamps_;
};

/// No two loops alike, and a corner without any.
Cloth motley_cloth(int rows, int columns, int strands) {
    Cloth cloth(rows, columns, strands);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            if (r + c < 3) continue;
            cloth.set_worked(r, c);
            cloth.angle(r, c) = static_cast<std::uint8_t>((3 * r + 5 * c) % CellShares::kAngles);
            for (int s = 0; s < strands; ++s)
                for (int p = 0; p < Cloth::kPlaces; ++p)
                    cloth.loop(r, c, s)[p] = {hashed_unit(1, r, c, p), hashed_unit(2, r, c, s), hashed_unit(3, c, p)};
        }
    return cloth;
}

/// Pixels that differ at all.
int different_pixels(const Cloth& cloth, const ClothLook& look) {
    const LoopShape shape{LoopProportions{}};
    const Image drawn = drawn_cloth(cloth, shape, look);
    const PlainCloth plain(cloth, shape, look);
    int different = 0;
    for (int y = 0; y < drawn.rows(); ++y)
        for (int x = 0; x < drawn.columns(); ++x)
            different += drawn(y, x) == plain.pixel(y, x, drawn.rows(), drawn.columns()) ? 0 : 1;
    return different;
}

}  // namespace

TEST_SUITE("raster") {
    TEST_CASE("cloth drawn row by row is cloth drawn sight by sight, to the last bit") {
        for (const double pixels : {1.3, 5.0, 11.25}) {
            CAPTURE(pixels);
            ClothLook look;
            look.pixels_per_stitch = pixels;
            look.paper = {0.2, 0.4, 0.6};
            look.seed = 7;
            CHECK(different_pixels(motley_cloth(9, 7, 1), look) == 0);
            look.side = Side::back;
            look.unevenness = 4;  // loops reach beyond their neighbours, and beyond the edge
            CHECK(different_pixels(motley_cloth(8, 11, 2), look) == 0);
        }
    }
}
