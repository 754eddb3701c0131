#include "loopread/raster/quick_cloth.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <tuple>

#include "loopread/base/require.h"
#include "loopread/unravel/order.h"
#include "raster/stamp.h"

namespace loopread {
namespace {

constexpr std::size_t kSteps = 4096;

QuickLight quick(LinearRgb colour) {
    return {QuickLight::Lanes{static_cast<float>(colour.r), static_cast<float>(colour.g), static_cast<float>(colour.b),
                              0.0F}};
}

const std::array<std::uint8_t, kSteps>& encoding_steps() {
    static const std::array<std::uint8_t, kSteps> table = [] {
        std::array<std::uint8_t, kSteps> codes{};
        for (std::size_t i = 0; i < kSteps; ++i)
            codes[i] = static_cast<std::uint8_t>(
                std::lround(255 * encoded_from_linear(static_cast<double>(i) / (kSteps - 1))));
        return codes;
    }();
    return table;
}

std::uint8_t code_of(const std::array<std::uint8_t, kSteps>& table, float linear) {
    const float step = std::min(std::max(linear, 0.0F), 1.0F) * static_cast<float>(kSteps - 1) + 0.5F;
    return table[static_cast<std::size_t>(step)];
}

/// The same lines of sight as drawn_cloth takes at this size.
int sights_across(int pixels_per_stitch) {
    constexpr int kSights = ClothLook{}.sights;
    return std::clamp((kSights + pixels_per_stitch - 1) / pixels_per_stitch, 2, 16);
}

/// Adds up what one pixel is made of: a loop's place under the lines of sight that meet it.
class PixelParts {
public:
    void add(const StampPoint& point, float weight) {
        const float shaded = weight * point.shade;
        put(point, point.place, shaded * (1 - point.toward_next));
        put(point, static_cast<std::uint8_t>(point.place + 1), shaded * point.toward_next);
    }
    void move_to(std::vector<QuickStamp::Part>& out) {
        for (const auto& [key, weight] : weights_) {
            const auto [down, right, strand, place] = key;
            if (weight > 0) out.push_back({right, down, strand, place, weight});
        }
        weights_.clear();
    }

private:
    using Key = std::tuple<std::int8_t, std::int8_t, std::uint8_t, std::uint8_t>;  // in the order they lie in memory
    void put(const StampPoint& point, std::uint8_t place, float weight) {
        weights_[{static_cast<std::int8_t>(-point.up), point.right, point.strand, place}] += weight;
    }
    std::map<Key, float> weights_;
};

/// One stitch's parts with the steps to their lights worked out, for one cloth.
struct Tap {
    std::ptrdiff_t step;
    float weight;
};

class QuickPainter {
public:
    QuickPainter(const QuickCloth& cloth, const QuickStamp& stamp)
        : cloth_(cloth), stamp_(stamp), codes_(encoding_steps()) {
        const QuickLook& look = stamp.look();
        for (int angle = 0; angle < stamp.angles(); ++angle) {
            std::vector<std::size_t>& first = first_.emplace_back();
            for (int y = 0; y < look.pixels_per_row; ++y)
                for (int x = 0; x < look.pixels_per_stitch; ++x) {
                    first.push_back(taps_.size());
                    for (const QuickStamp::Part& part : stamp.parts(angle, x, y))
                        taps_.push_back({cloth.step(part.right, part.down, part.strand) + part.place, part.weight});
                }
            first.push_back(taps_.size());
        }
    }

    void paint(ScreenPicture& picture, const LoopBox& box) const {
        for (int row = box.first_row; row < box.end_row; ++row)
            for (int column = box.first_column; column < box.end_column; ++column) paint_loop(picture, row, column);
    }

private:
    void paint_loop(ScreenPicture& picture, int row, int column) const {
        const QuickLook& look = stamp_.look();
        const bool worked = cloth_.worked(row, column);
        const bool inside = worked && neighbours_worked(row, column);
        const int angle = cloth_.angle(row, column) % stamp_.angles();
        const std::vector<std::size_t>& first = first_[static_cast<std::size_t>(angle)];
        const QuickLight* own = cloth_.loop(row, column, 0);
        std::size_t pixel = 0;
        for (int y = 0; y < look.pixels_per_row; ++y) {
            const auto line = static_cast<std::size_t>(row) * static_cast<std::size_t>(look.pixels_per_row) +
                              static_cast<std::size_t>(y);
            std::uint8_t* out = picture.rgba.data() + 4 * (line * static_cast<std::size_t>(picture.width) +
                                                           static_cast<std::size_t>(column * look.pixels_per_stitch));
            for (int x = 0; x < look.pixels_per_stitch; ++x, ++pixel, out += 4) {
                if (!worked) {
                    std::fill_n(out, 4, std::uint8_t{0});
                    continue;
                }
                QuickLight::Lanes sum{};
                if (inside)
                    for (std::size_t i = first[pixel]; i < first[pixel + 1]; ++i)
                        sum += own[taps_[i].step].lanes * taps_[i].weight;
                else
                    for (const QuickStamp::Part& part : stamp_.parts(angle, x, y))
                        sum += at_edge(row, column, part).lanes * part.weight;
                out[0] = code_of(codes_, sum[0]);
                out[1] = code_of(codes_, sum[1]);
                out[2] = code_of(codes_, sum[2]);
                out[3] = 255;
            }
        }
    }

    bool neighbours_worked(int row, int column) const {
        for (int down = -QuickCloth::kMargin; down <= QuickCloth::kMargin; ++down)
            for (int right = -QuickCloth::kMargin; right <= QuickCloth::kMargin; ++right)
                if (!cloth_.worked(std::clamp(row + down, 0, cloth_.rows() - 1),
                                   std::clamp(column + right, 0, cloth_.columns() - 1)))
                    return false;
        return true;
    }

    /// At an edge the neighbour's yarn is this loop's own.
    const QuickLight& at_edge(int row, int column, const QuickStamp::Part& part) const {
        int loop_row = std::clamp(row + part.down, 0, cloth_.rows() - 1);
        int loop_column = std::clamp(column + part.right, 0, cloth_.columns() - 1);
        if (!cloth_.worked(loop_row, loop_column)) {
            loop_row = row;
            loop_column = column;
        }
        return cloth_.loop(loop_row, loop_column, part.strand)[part.place];
    }

    const QuickCloth& cloth_;
    const QuickStamp& stamp_;
    const std::array<std::uint8_t, kSteps>& codes_;
    std::vector<Tap> taps_;
    std::vector<std::vector<std::size_t>> first_;
};

}  // namespace

QuickCloth::QuickCloth(int rows, int columns, int strands)
    : rows_(rows), columns_(columns), strands_(strands), worked_(rows, columns, 0), angle_(rows, columns, 0) {
    require(rows > 0 && columns > 0 && (strands == 1 || strands == 2), "cloth has loops of one strand or two");
    lights_.resize(index(rows + kMargin - 1, columns + kMargin - 1, strands - 1) + Cloth::kPlaces);
}

QuickCloth::QuickCloth(const Cloth& cloth) : QuickCloth(cloth.rows(), cloth.columns(), cloth.strands()) {
    for (int row = 0; row < rows_; ++row)
        for (int column = 0; column < columns_; ++column) {
            if (!cloth.worked(row, column)) continue;
            set_angle(row, column, cloth.angle(row, column));
            for (int strand = 0; strand < strands_; ++strand)
                std::transform(cloth.loop(row, column, strand), cloth.loop(row, column, strand) + Cloth::kPlaces,
                               set_loop(row, column, strand), quick);
        }
    close_edges();
}

QuickLight* QuickCloth::set_loop(int row, int column, int strand) {
    worked_(row, column) = 1;
    return lights_.data() + index(row, column, strand);
}

std::ptrdiff_t QuickCloth::step(int right, int down, int strand) const {
    return static_cast<std::ptrdiff_t>(((down * (columns_ + 2 * kMargin)) + right) * strands_ + strand) *
           Cloth::kPlaces;
}

void QuickCloth::close_edges() {
    const auto copy = [&](int to_row, int to_column) {
        const int row = std::clamp(to_row, 0, rows_ - 1), column = std::clamp(to_column, 0, columns_ - 1);
        std::copy_n(lights_.data() + index(row, column, 0), strands_ * Cloth::kPlaces,
                    lights_.data() + index(to_row, to_column, 0));
    };
    for (int row = -kMargin; row < rows_ + kMargin; ++row) {
        const bool beyond = row < 0 || row >= rows_;
        for (int column = -kMargin; column < columns_ + kMargin; ++column)
            if (beyond || column < 0 || column >= columns_) copy(row, column);
    }
}

QuickCloth quick_fabric_cloth(const ColourRun& run, const QuickRounds& rounds) {
    require(rounds.stitches > 0 && rounds.yarn_per_stitch_mm > 0, "a round takes some yarn");
    const auto all = static_cast<std::int64_t>(run.length_mm() / rounds.yarn_per_stitch_mm + 1e-9);
    const std::int64_t first = std::int64_t{rounds.from_round} * rounds.stitches;
    require(rounds.from_round >= 0 && rounds.most_rounds > 0 && first < all, "the fabric has rounds");
    const std::int64_t left = std::min(all - first, std::int64_t{rounds.most_rounds} * rounds.stitches);
    const int rows = static_cast<int>((left + rounds.stitches - 1) / rounds.stitches);
    QuickCloth cloth(rows, rounds.stitches, 1);
    const double place_mm = rounds.yarn_per_stitch_mm / Cloth::kPlaces;
    std::vector<QuickLight> places(static_cast<std::size_t>(left) * Cloth::kPlaces);
    consecutive_means(run, static_cast<double>(first) * rounds.yarn_per_stitch_mm, place_mm, places.size(),
                      places.data());
    for (std::int64_t i = 0; i < left; ++i) {
        const int round = static_cast<int>(i / rounds.stitches), k = static_cast<int>(i % rounds.stitches);
        const bool rightward = rounds.worked == Worked::back_and_forth && (rounds.from_round + round) % 2 == 1;
        const QuickLight* from = places.data() + i * Cloth::kPlaces;
        QuickLight* to = cloth.set_loop(rows - 1 - round, rightward ? k : rounds.stitches - 1 - k, 0);
        if (rightward)
            std::copy_n(from, Cloth::kPlaces, to);
        else
            std::reverse_copy(from, from + Cloth::kPlaces, to);  // colours run left to right
    }
    cloth.close_edges();
    return cloth;
}

QuickCloth quick_blank_cloth(const BlankLayout& layout, const std::vector<ColourRun>& strands,
                             const WindingOptions& options) {
    require(strands.size() == 1 || static_cast<int>(strands.size()) == layout.strands, "the strands are the blank's");
    const Winding winding(options, layout.strand_length());
    QuickCloth cloth(layout.rows, layout.columns(), layout.strands);
    const double loop = layout.loop_length.value;
    const std::vector<LoopPlace> order = ravel_order(layout);
    for (std::size_t i = 0; i < order.size(); ++i) {
        if (order[i].layer == Layer::hidden) continue;
        const double mid_needle = (static_cast<double>(i) + kArcShare / 2) * loop + loop / 2;
        const double turns = frame_angle(layout, order[i].travel, winding.angle(mid_needle)) / (2 * std::numbers::pi);
        const auto step = std::lround((turns - std::floor(turns)) * CellShares::kAngles) % CellShares::kAngles;
        cloth.set_angle(order[i].course, order[i].column, static_cast<std::uint8_t>(step));
    }
    recolour_blank(cloth, layout, strands, {0, layout.rows});
    cloth.close_edges();
    return cloth;
}

void recolour_blank(QuickCloth& cloth, const BlankLayout& layout, const std::vector<ColourRun>& strands,
                    CourseRange courses) {
    const std::vector<LoopPlace> order = ravel_order(layout);
    const double loop = layout.loop_length.value;
    const auto stitches = static_cast<std::size_t>(layout.stitches);
    std::vector<QuickLight> places(stitches * Cloth::kPlaces);
    for (int course = courses.first; course < courses.end; ++course)
        for (int strand = 0; strand < layout.strands; ++strand) {
            const std::size_t first = static_cast<std::size_t>(course) * stitches;
            consecutive_means(strands[strands.size() == 1 ? 0 : static_cast<std::size_t>(strand)],
                              (static_cast<double>(first) + kArcShare / 2) * loop, loop / Cloth::kPlaces, places.size(),
                              places.data());
            for (std::size_t k = 0; k < stitches; ++k) {
                const LoopPlace& place = order[first + k];
                if (place.layer == Layer::hidden) continue;
                const QuickLight* from = places.data() + k * Cloth::kPlaces;
                QuickLight* to = cloth.set_loop(place.course, place.column, strand);
                if (place.travel == Travel::right)
                    std::copy_n(from, Cloth::kPlaces, to);
                else
                    std::reverse_copy(from, from + Cloth::kPlaces, to);
            }
        }
}

QuickStamp::QuickStamp(const LoopShape& shape, int strands, const QuickLook& look) : look_(look), strands_(strands) {
    require(look.pixels_per_stitch > 0 && look.pixels_per_row > 0, "a stitch has pixels");
    const int across = sights_across(look.pixels_per_stitch);
    const int angle_count = strands == 1 ? 1 : CellShares::kAngles;
    const float part = 1.0F / static_cast<float>(across * across);
    for (int angle = 0; angle < angle_count; ++angle) {
        const Stamp stamp = StampSights(LoopCell(shape, strands, 2 * std::numbers::pi * angle / angle_count), look.side,
                                        look.pixels_per_row * across, look.pixels_per_stitch * across)
                                .lit(kLamp, relief_at(look.pixels_per_stitch));
        std::vector<std::size_t>& first = first_.emplace_back();
        for (int y = 0; y < look.pixels_per_row; ++y)
            for (int x = 0; x < look.pixels_per_stitch; ++x) {
                first.push_back(parts_.size());
                PixelParts pixel;
                for (int j = 0; j < across; ++j)
                    for (int i = 0; i < across; ++i) pixel.add(stamp(y * across + j, x * across + i), part);
                pixel.move_to(parts_);
            }
        first.push_back(parts_.size());
    }
    for (const Part& p : parts_)
        require(std::abs(p.right) <= QuickCloth::kMargin && std::abs(p.down) <= QuickCloth::kMargin,
                "no line of sight meets yarn beyond the margin");
}

ScreenPicture quickly_drawn(const QuickCloth& cloth, const QuickStamp& stamp) {
    ScreenPicture picture;
    picture.width = cloth.columns() * stamp.look().pixels_per_stitch;
    picture.height = cloth.rows() * stamp.look().pixels_per_row;
    picture.rgba.resize(4 * static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height));
    redraw_quickly(picture, cloth, stamp, {0, cloth.rows(), 0, cloth.columns()});
    return picture;
}

void redraw_quickly(ScreenPicture& picture, const QuickCloth& cloth, const QuickStamp& stamp, LoopBox box) {
    require(cloth.strands() == stamp.strands(), "the stamp is for the cloth's strands");
    require(picture.width == cloth.columns() * stamp.look().pixels_per_stitch &&
                picture.height == cloth.rows() * stamp.look().pixels_per_row,
            "the picture is of this cloth");
    box.first_row = std::max(box.first_row, 0);
    box.first_column = std::max(box.first_column, 0);
    box.end_row = std::min(box.end_row, cloth.rows());
    box.end_column = std::min(box.end_column, cloth.columns());
    QuickPainter(cloth, stamp).paint(picture, box);
}

std::uint8_t quickly_encoded(float linear) {
    return code_of(encoding_steps(), linear);
}

void consecutive_means(const ColourRun& run, double from_mm, double step_mm, std::size_t count, QuickLight* out) {
    require(step_mm > 0 && !run.empty(), "a stretch of yarn has a length");
    const std::vector<Piece>& pieces = run.pieces();
    std::size_t piece = run.piece_at(from_mm);
    for (std::size_t i = 0; i < count; ++i) {
        const double from = from_mm + static_cast<double>(i) * step_mm;
        const double to = from_mm + static_cast<double>(i + 1) * step_mm;
        LinearRgb sum;
        double at = from;
        while (piece + 1 < pieces.size() && pieces[piece + 1].start_mm < to) {
            sum += pieces[piece].colour * (pieces[piece + 1].start_mm - at);
            at = pieces[++piece].start_mm;
        }
        sum += pieces[piece].colour * (to - at);
        out[i] = quick(sum * (1 / step_mm));
    }
}

}  // namespace loopread
