#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/parallel.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/raster/cloth.h"
#include "raster/stamp.h"

namespace loopread {
namespace {

constexpr double kUnevenWidth = 0.045;  // of a stitch; chosen by eye: visible at 12 pixels, calm at 5

struct Shift {
    double x = 0, y = 0;  // loops

    Shift operator+(Shift o) const { return {x + o.x, y + o.y}; }
    Shift operator*(double f) const { return {x * f, y * f}; }
};

/// A place among values that stand half a loop beyond both ends and at the middle of each loop.
struct Between {
    Between(double place, int values) {
        const double held = std::clamp(place + 0.5, 0.0, values - 1.001);
        before = static_cast<int>(held);
        share = held - before;
    }
    int before = 0;
    double share = 0;  // of the way to the next
};

/// A slow random displacement over the fabric, one vector a loop, straight in between.
class Unevenness {
public:
    Unevenness(int rows, int columns, std::uint64_t seed, double amount) : shift_(rows + 2, columns + 2) {
        for (int row = 0; row < shift_.rows(); ++row)
            for (int column = 0; column < shift_.columns(); ++column)
                shift_(row, column) = {amount * kUnevenWidth * (2 * hashed_unit(seed, row, column, 0) - 1) * 1.6,
                                       amount * kUnevenWidth * (2 * hashed_unit(seed, row, column, 1) - 1) +
                                           amount * 0.03 * (2 * hashed_unit(seed, row, -1, 2) - 1)};
    }
    Between column(double place) const { return {place, shift_.columns()}; }
    Between row(double place) const { return {place, shift_.rows()}; }
    Shift at(int row, Between column) const {
        const Shift* shifts = shift_.row(row) + column.before;
        return shifts[0] * (1 - column.share) + shifts[1] * column.share;
    }

private:
    Grid<Shift> shift_;
};

/// std::floor of a number that an int holds, without a call.
int whole_below(double x) {
    const int cut = static_cast<int>(x);
    return cut - (cut > x ? 1 : 0);
}

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
            stamps_.push_back(StampSights(LoopCell(shape, cloth.strands(), 2 * std::numbers::pi * i / angles),
                                          look.side, rows, columns)
                                  .lit(kLamp, relief_at(look.pixels_per_stitch)));
        stamp_of_ = Grid<const Stamp*>(cloth.rows(), cloth.columns());
        for (int row = 0; row < cloth.rows(); ++row)
            for (int column = 0; column < cloth.columns(); ++column)
                stamp_of_(row, column) = &stamps_[cloth.angle(row, column) % stamps_.size()];
    }

    Image painted() const {
        const int width = std::max(1, static_cast<int>(std::lround(cloth_.columns() * look_.pixels_per_stitch)));
        const int height =
            std::max(1, static_cast<int>(std::lround(cloth_.rows() * look_.pixels_per_stitch / look_.wale_per_course)));
        Image image(height, width);
        const int half = height / 2;
        both([&] { paint_rows(image, 0, half); }, [&] { paint_rows(image, half, height); });
        return image;
    }

private:
    /// Where a line of sight meets the cloth, in loops from the left, before the fabric's unevenness.
    struct SightColumn {
        double place;
        Between shifts;
    };
    std::vector<SightColumn> sight_columns(int pixels) const {
        std::vector<SightColumn> columns;
        for (int x = 0; x < pixels; ++x)
            for (int i = 0; i < across_; ++i) {
                const double place = (x + (i + 0.5) / across_) / pixels * cloth_.columns();
                columns.push_back({place, uneven_.column(place)});
            }
        return columns;
    }

    /// The shifts of a row of sights, from those of the rows of loops above and below it, which many rows share.
    class RowShifts {
    public:
        RowShifts(const Unevenness& uneven, const std::vector<SightColumn>& columns)
            : uneven_(uneven), columns_(columns), above_(columns.size()), below_(columns.size()) {}

        void move_to(double place) {
            const Between rows = uneven_.row(place);
            share_ = rows.share;
            if (rows.before == row_) return;
            row_ = rows.before;
            for (std::size_t i = 0; i < columns_.size(); ++i) {
                above_[i] = uneven_.at(row_, columns_[i].shifts);
                below_[i] = uneven_.at(row_ + 1, columns_[i].shifts);
            }
        }
        Shift operator[](std::size_t i) const { return above_[i] * (1 - share_) + below_[i] * share_; }

    private:
        const Unevenness& uneven_;
        const std::vector<SightColumn>& columns_;
        std::vector<Shift> above_, below_;
        int row_ = -1;
        double share_ = 0;
    };

    void paint_rows(Image& image, int from, int to) const {
        const double part = 1.0 / (across_ * across_);
        const std::vector<SightColumn> columns = sight_columns(image.columns());
        RowShifts shifts(uneven_, columns);
        for (int y = from; y < to; ++y) {
            LinearRgb *pixels = image.row(y), *const end = pixels + image.columns();
            for (int j = 0; j < across_; ++j) {
                const double place = (y + (j + 0.5) / across_) / image.rows() * cloth_.rows();
                shifts.move_to(place);
                std::size_t at = 0;
                for (LinearRgb* pixel = pixels; pixel < end; ++pixel) {
                    LinearRgb sum = *pixel;
                    for (int i = 0; i < across_; ++i, ++at) {
                        const Shift shift = shifts[at];
                        sum += sight(columns[at].place + shift.x, place + shift.y);
                    }
                    *pixel = sum;
                }
            }
            std::transform(pixels, end, pixels, [part](LinearRgb sum) { return sum * part; });
        }
    }

    /// Light along one line of sight, at a place in loops from the top left.
    LinearRgb sight(double x, double y) const {
        const int column = whole_below(x), row = whole_below(y);
        const int own_column = std::clamp(column, 0, cloth_.columns() - 1);
        const int own_row = std::clamp(row, 0, cloth_.rows() - 1);
        if (!cloth_.worked(own_row, own_column)) return look_.paper;
        const Stamp& mine = *stamp_of_(own_row, own_column);
        const StampPoint& point = mine(std::min(static_cast<int>((y - row) * mine.rows()), mine.rows() - 1),
                                       std::min(static_cast<int>((x - column) * mine.columns()), mine.columns() - 1));
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
    Grid<const Stamp*> stamp_of_;  // each loop
};

}  // namespace

Image drawn_cloth(const Cloth& cloth, const LoopShape& shape, const ClothLook& look) {
    return ClothPainter(cloth, shape, look).painted();
}

}  // namespace loopread
