#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "loopread/base/grid.h"
#include "loopread/blank/layout.h"
#include "loopread/colour/spaces.h"
#include "loopread/loop/cell.h"
#include "loopread/raster/cloth.h"
#include "loopread/shape/rounds.h"
#include "loopread/unravel/winding.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// A picture as a screen takes it: red, green, blue, straight alpha, row after row from the top left.
struct ScreenPicture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgba;
};

/// Light in four floats, so that one machine instruction adds a colour.
struct alignas(16) QuickLight {
    using Lanes = float __attribute__((vector_size(16)));
    Lanes lanes{};  ///< red, green, blue, nothing
};

/// Loops ready to be drawn quickly: the same as Cloth, with the loops at the edge repeated beyond it.
class QuickCloth {
public:
    static constexpr int kMargin = 2;  ///< loops beyond each edge: no line of sight meets yarn from farther away

    QuickCloth(int rows, int columns, int strands);
    explicit QuickCloth(const Cloth& cloth);

    int rows() const { return rows_; }
    int columns() const { return columns_; }
    int strands() const { return strands_; }
    bool worked(int row, int column) const { return worked_(row, column) != 0; }
    std::uint8_t angle(int row, int column) const { return angle_(row, column); }
    void set_angle(int row, int column, std::uint8_t angle) { angle_(row, column) = angle; }
    /// The loop's Cloth::kPlaces colours of one strand, left to right; the loop counts as worked from now on.
    QuickLight* set_loop(int row, int column, int strand);
    const QuickLight* loop(int row, int column, int strand) const {
        return lights_.data() + index(row, column, strand);
    }
    /// Repeats the loops at the edge beyond it. To be called when loops were set, before drawing.
    void close_edges();

    /// From a loop to the one so far to the right and down, and to another strand, in lights.
    std::ptrdiff_t step(int right, int down, int strand) const;

private:
    std::size_t index(int row, int column, int strand) const {
        return ((static_cast<std::size_t>(row + kMargin) * static_cast<std::size_t>(columns_ + 2 * kMargin) +
                 static_cast<std::size_t>(column + kMargin)) *
                    static_cast<std::size_t>(strands_) +
                static_cast<std::size_t>(strand)) *
               Cloth::kPlaces;
    }
    int rows_, columns_, strands_;
    std::vector<QuickLight> lights_;
    Grid<std::uint8_t> worked_, angle_;
};

/// fabric_cloth of rounds [from_round, from_round + most_rounds), straight from the run.
struct QuickRounds {
    int stitches = 64;
    double yarn_per_stitch_mm = 13;
    Worked worked = Worked::in_the_round;
    int from_round = 0;
    int most_rounds = 1;
};
/// A plain piece that takes the whole run; its last round may be incomplete. @throws contract if no round is left
QuickCloth quick_fabric_cloth(const ColourRun& run, const QuickRounds& rounds);

/// blank_cloth, straight from the runs: one a strand, or one that all strands look like.
QuickCloth quick_blank_cloth(const BlankLayout& layout, const std::vector<ColourRun>& strands,
                             const WindingOptions& winding);
/// New colours for some courses of it; call close_edges when all are set.
struct CourseRange {
    int first = 0, end = 0;
};
void recolour_blank(QuickCloth& cloth, const BlankLayout& layout, const std::vector<ColourRun>& strands,
                    CourseRange courses);

/// How a stitch is drawn: in whole pixels, so that every stitch is drawn alike and nothing beats.
struct QuickLook {
    int pixels_per_stitch = 6;
    int pixels_per_row = 5;
    Side side = Side::face;
    bool operator==(const QuickLook&) const = default;
};

/// What every pixel of a stitch is made of: which loop's yarn, where along it, how much, light and shade included.
/// Worked out once for a shape, side, size and strand count. The weights of all pixels of a stitch together add to the
/// number of its pixels, so the mean colour stays that of the yarn (as drawn_cloth keeps it).
class QuickStamp {
public:
    /// @throws contract unless a stitch is at least one pixel each way
    QuickStamp(const LoopShape& shape, int strands, const QuickLook& look);

    struct Part {
        std::int8_t right = 0, down = 0;
        std::uint8_t strand = 0, place = 0;
        float weight = 0;
    };
    const QuickLook& look() const { return look_; }
    int strands() const { return strands_; }
    int angles() const { return static_cast<int>(first_.size()); }
    /// Parts of pixel (x, y) of a stitch, from its upper left.
    std::span<const Part> parts(int angle, int x, int y) const {
        const auto& first = first_[static_cast<std::size_t>(angle)];
        const auto pixel = static_cast<std::size_t>(y) * static_cast<std::size_t>(look_.pixels_per_stitch) +
                           static_cast<std::size_t>(x);
        return {parts_.data() + first[pixel], first[pixel + 1] - first[pixel]};
    }

private:
    QuickLook look_;
    int strands_;
    std::vector<Part> parts_;
    std::vector<std::vector<std::size_t>> first_;  // [angle][pixel], one more at the end
};

/// The cloth in columns x pixels_per_stitch by rows x pixels_per_row pixels; transparent where no loop was worked.
/// Encoded through a table of 4096 steps: within one code of exact encoding.
/// @throws contract unless the stamp is for as many strands
ScreenPicture quickly_drawn(const QuickCloth& cloth, const QuickStamp& stamp);
/// The same for some rows and columns only, into a picture drawn before.
struct LoopBox {
    int first_row = 0, end_row = 0, first_column = 0, end_column = 0;
};
void redraw_quickly(ScreenPicture& picture, const QuickCloth& cloth, const QuickStamp& stamp, LoopBox box);

/// One channel of light in 8 bits, by the same table.
std::uint8_t quickly_encoded(float linear);

/// Mean colours of `count` stretches of a run, one after another, each `step_mm` long; exact, as ColourRun::mean.
/// @throws contract unless step_mm is over 0
void consecutive_means(const ColourRun& run, double from_mm, double step_mm, std::size_t count, QuickLight* out);

}  // namespace loopread
