#include "loopread/draw/strands.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"
#include "loopread/raster/ribbon.h"

namespace loopread {
namespace {

constexpr int kMargin = 28;
constexpr int kLabels = 74;  // for "ball A"
constexpr int kRibbon = 22;
constexpr int kBetween = 3;
constexpr int kHead = 92;
constexpr int kCloseUp = 104;  // height of the close-up with its words
constexpr double kCloseUpMm = 1000;
constexpr double kMostLines = 26;

/// A round number of metres a line, so that the eye can count.
double line_length_mm(double length_mm) {
    for (const double metres : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0})
        if (length_mm / (metres * 1000) <= kMostLines) return metres * 1000;
    return length_mm / kMostLines;
}

/// How many rows between marks: well apart, a number that is easy to count by.
int rows_between_marks(double row_mm, double pixels_per_mm) {
    for (const int rows : {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000})
        if (rows * row_mm * pixels_per_mm >= 440) return rows;
    return 1000;
}

class StrandsSheet {
public:
    StrandsSheet(const std::vector<ColourRun>& strands, const StrandMarks& marks)
        : strands_(strands),
          marks_(marks),
          longest_(std::max_element(strands.begin(), strands.end(),
                                    [](const auto& a, const auto& b) { return a.length_mm() < b.length_mm(); })
                       ->length_mm()),
          line_mm_(line_length_mm(longest_)),
          pixels_per_mm_((marks.width - 2 * kMargin - kLabels) / line_mm_),
          lines_(static_cast<int>(std::ceil(longest_ / line_mm_ - 1e-9))),
          line_height_(18 + static_cast<int>(strands.size()) * (kRibbon + kBetween) + (marks.row_yarn_mm > 0 ? 22 : 8)),
          canvas_(marks.width, kHead + kCloseUp + lines_ * line_height_ + kMargin, ink::kPaper) {}

    Picture8 drawn() {
        head();
        close_up();
        for (int line = 0; line < lines_; ++line) draw_line(line);
        return canvas_.pixels();
    }

private:
    double left() const { return kMargin + kLabels; }

    void head() {
        canvas_.text(kMargin, 42, "The yarn as it comes off the blank", {.size = 22, .weight = Weight::bold});
        std::string words = "Read it like text: the end that comes off first is at the top left. ";
        words += strands_.size() == 2 ? "Upper ribbon ball A, lower ribbon ball B. " : "";
        words +=
            number_text(line_mm_ / 1000, 1) + " m a line, a tick every " + number_text(line_mm_ / 10000, 2) + " m.";
        if (marks_.row_yarn_mm > 0 && marks_.round_yarn_mm > 0) words += " Rows count from the ravel edge.";
        canvas_.text(kMargin, 68, words, {.size = 13, .colour = ink::kQuiet});
    }

    /// A metre (or all, if there is less) from a third of the way on, where no end effects show.
    void close_up() {
        const double length = std::min(kCloseUpMm, longest_);
        const double from = std::floor((longest_ - length) / 3 / 1000) * 1000;
        const int width = marks_.width - 2 * kMargin - kLabels;
        canvas_.text(left(), kHead + 6,
                     "Close up: " + number_text(length / 1000, 2) + " m of yarn from " + number_text(from / 1000, 0) +
                         " m on, flecks and all",
                     {.size = 12, .colour = ink::kQuiet});
        for (std::size_t s = 0; s < strands_.size(); ++s) {
            const int y = kHead + 14 + static_cast<int>(s) * (kRibbon + 8 + kBetween);
            label(s, y + 4);
            canvas_.picture(encoded(ribbon(strands_[s], {from, std::min(from + length, strands_[s].length_mm()), width,
                                                         kRibbon + 8, 0})),
                            static_cast<int>(left()), y);
        }
    }

    void label(std::size_t s, int y) {
        if (strands_.size() == 2)
            canvas_.text(kMargin, y + kRibbon - 6, s == 0 ? "ball A" : "ball B", {.size = 12, .colour = ink::kQuiet});
    }

    void draw_line(int line) {
        const double from = line * line_mm_;
        const int top = kHead + kCloseUp + line * line_height_;
        const double to = std::min(from + line_mm_, longest_);
        for (int tick = 0; tick <= 10; ++tick) {
            const double at = from + line_mm_ * tick / 10;
            if (at > to + 1e-6) break;
            const double x = std::round(left() + (at - from) * pixels_per_mm_) + 0.5;
            canvas_.line(x, top + 18 - (tick % 5 == 0 ? 6 : 3), x, top + 18, ink::kQuiet, 1);
        }
        canvas_.text(left(), top + 10, number_text(from / 1000, 1) + " m", {.size = 12, .colour = ink::kQuiet});
        for (std::size_t s = 0; s < strands_.size(); ++s)
            draw_ribbon(s, from, top + 20 + static_cast<int>(s) * (kRibbon + kBetween));
        if (marks_.row_yarn_mm > 0)
            draw_row_marks(from, to, top + 20 + static_cast<int>(strands_.size()) * (kRibbon + kBetween));
    }

    void draw_ribbon(std::size_t s, double from, int y) {
        const double to = std::min(from + line_mm_, strands_[s].length_mm());
        const int width = static_cast<int>(std::lround((to - from) * pixels_per_mm_));
        if (width < 1) return;
        label(s, y);
        canvas_.picture(encoded(ribbon(strands_[s], {from, to, width, kRibbon, marks_.loop_mm})),
                        static_cast<int>(left()), y);
    }

    void draw_row_marks(double from, double to, int y) {
        const int step = rows_between_marks(marks_.row_yarn_mm, pixels_per_mm_);
        const double step_mm = step * marks_.row_yarn_mm;
        for (auto k = static_cast<long long>(std::ceil(from / step_mm - 1e-9));
             static_cast<double>(k) * step_mm < to - 1e-6; ++k) {
            if (k == 0) continue;
            const double at = static_cast<double>(k) * step_mm;
            const double x = std::round(left() + (at - from) * pixels_per_mm_) + 0.5;
            std::string words = "row " + std::to_string(k * step);
            if (marks_.round_yarn_mm > 0) words += " = round " + number_text(at / marks_.round_yarn_mm, 0);
            const TextStyle style{.size = 12, .colour = ink::kText};
            const bool near_end = x + 6 + canvas_.text_width(words, style) > marks_.width - kMargin / 2.0;
            canvas_.line(x, y, x, y + 12, ink::kText, 1);
            TextStyle placed = style;
            placed.align = near_end ? Align::right : Align::left;
            canvas_.text(near_end ? x - 5 : x + 5, y + 12, words, placed);
        }
    }

    const std::vector<ColourRun>& strands_;
    StrandMarks marks_;
    double longest_;
    double line_mm_;
    double pixels_per_mm_;
    int lines_;
    int line_height_;
    Canvas canvas_;
};

}  // namespace

Picture8 strands_picture(const std::vector<ColourRun>& strands, const StrandMarks& marks) {
    require(!strands.empty() && !strands.front().empty(), "there is yarn to draw");
    return StrandsSheet(strands, marks).drawn();
}

}  // namespace loopread
