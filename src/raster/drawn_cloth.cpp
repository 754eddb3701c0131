#include <algorithm>
#include <cmath>
#include <numbers>
#include <thread>

#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/raster/cloth.h"
#include "raster/stamp.h"

namespace loopread {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kUnevenWidth = 0.045;  // of a stitch; chosen by eye: visible at 12 pixels, calm at 5

/// A slow random displacement over the fabric, one vector a loop, straight in between.
class Unevenness {
public:
    Unevenness(int rows, int columns, std::uint64_t seed, double amount) : shift_(rows + 2, columns + 2) {
        for (int row = 0; row < shift_.rows(); ++row)
            for (int column = 0; column < shift_.columns(); ++column)
                shift_(row, column) = {amount * kUnevenWidth * (2 * hashed_unit(seed, row, column, 0) - 1) * 1.6,
                                       amount * kUnevenWidth * (2 * hashed_unit(seed, row, column, 1) - 1) +
                                           amount * 0.03 * (2 * hashed_unit(seed, row, -1, 2) - 1),
                                       0};
    }
    /// Places in loops from the top left.
    LoopVector at(double column, double row) const {
        const double x = std::clamp(column + 0.5, 0.0, shift_.columns() - 1.001);
        const double y = std::clamp(row + 0.5, 0.0, shift_.rows() - 1.001);
        const int left = static_cast<int>(x);
        const int top = static_cast<int>(y);
        const double u = x - left;
        const double v = y - top;
        return (shift_(top, left) * (1 - u) + shift_(top, left + 1) * u) * (1 - v) +
               (shift_(top + 1, left) * (1 - u) + shift_(top + 1, left + 1) * u) * v;
    }

private:
    Grid<LoopVector> shift_;
};

class ClothPainter {
public:
    ClothPainter(const Cloth& cloth, const LoopShape& shape, const ClothLook& look)
        : cloth_(cloth), look_(look), uneven_(cloth.rows(), cloth.columns(), look.seed, look.unevenness) {
        require(look.pixels_per_stitch > 0 && look.wale_per_course > 0, "stitches have a size");
        across_ = std::clamp(static_cast<int>(std::ceil(look.sights / look.pixels_per_stitch)), 2, 16);
        const int columns = std::clamp(static_cast<int>(std::lround(look.pixels_per_stitch * across_)), 24, 96);
        const int rows = std::max(8, static_cast<int>(std::lround(columns / look.wale_per_course)));
        const int angles = cloth.strands() == 1 ? 1 : CellShares::kAngles;
        for (int i = 0; i < angles; ++i)
            stamps_.push_back(
                StampSights(LoopCell(shape, cloth.strands(), 2 * kPi * i / angles), look.side, rows, columns)
                    .lit(kLamp, relief_at(look.pixels_per_stitch)));
    }

    Image painted() const {
        const int width = std::max(1, static_cast<int>(std::lround(cloth_.columns() * look_.pixels_per_stitch)));
        const int height =
            std::max(1, static_cast<int>(std::lround(cloth_.rows() * look_.pixels_per_stitch / look_.wale_per_course)));
        Image image(height, width);
        const int half = height / 2;
        std::thread other([&] { paint_rows(image, half, height); });
        paint_rows(image, 0, half);
        other.join();
        return image;
    }

private:
    void paint_rows(Image& image, int from, int to) const {
        const double part = 1.0 / (across_ * across_);
        for (int y = from; y < to; ++y)
            for (int x = 0; x < image.columns(); ++x) {
                LinearRgb sum;
                for (int j = 0; j < across_; ++j)
                    for (int i = 0; i < across_; ++i)
                        sum += sight((x + (i + 0.5) / across_) / image.columns() * cloth_.columns(),
                                     (y + (j + 0.5) / across_) / image.rows() * cloth_.rows());
                image(y, x) = sum * part;
            }
    }

    /// Light along one line of sight, at a place in loops from the top left.
    LinearRgb sight(double column, double row) const {
        const LoopVector shift = uneven_.at(column, row);
        const double x = column + shift.x;
        const double y = row + shift.y;
        const int own_column = std::clamp(static_cast<int>(std::floor(x)), 0, cloth_.columns() - 1);
        const int own_row = std::clamp(static_cast<int>(std::floor(y)), 0, cloth_.rows() - 1);
        const Stamp& mine = stamps_[cloth_.angle(own_row, own_column) % stamps_.size()];
        const double u = x - std::floor(x);
        const double v = y - std::floor(y);
        const StampPoint& point = mine(std::min(static_cast<int>(v * mine.rows()), mine.rows() - 1),
                                       std::min(static_cast<int>(u * mine.columns()), mine.columns() - 1));
        if (!cloth_.worked(own_row, own_column)) return look_.paper;
        int loop_column = std::clamp(own_column + point.right, 0, cloth_.columns() - 1);
        int loop_row = std::clamp(own_row - point.up, 0, cloth_.rows() - 1);
        if (!cloth_.worked(loop_row, loop_column)) {  // at an edge the neighbour's yarn is this loop's own
            loop_column = own_column;
            loop_row = own_row;
        }
        const LinearRgb* colour = cloth_.loop(loop_row, loop_column, point.strand) + point.place;
        return mixed(colour[0], colour[1], static_cast<double>(point.toward_next)) * static_cast<double>(point.shade);
    }

    const Cloth& cloth_;
    const ClothLook& look_;
    Unevenness uneven_;
    int across_ = 2;  // lines of sight across a pixel
    std::vector<Stamp> stamps_;
};

}  // namespace

Image drawn_cloth(const Cloth& cloth, const LoopShape& shape, const ClothLook& look) {
    return ClothPainter(cloth, shape, look).painted();
}

}  // namespace loopread
