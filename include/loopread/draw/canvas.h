#pragma once

#include <memory>
#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

enum class Align { left, middle, right };
enum class Weight { normal, bold };

struct TextStyle {
    double size = 14;  ///< pixels
    Weight weight = Weight::normal;
    Srgb8 colour{0x2b, 0x2a, 0x28};
    Align align = Align::left;
};

/// Words broken into lines of a column.
struct TextBlock {
    std::vector<std::string> lines;
    TextStyle style;

    double line_height() const;  ///< whole pixels
    double height() const { return static_cast<double>(lines.size()) * line_height(); }
    double width() const;  ///< of the widest line
};
/// Breaks at spaces, at line ends in the words, and within a word that is wider than the column by itself.
/// Lines of one block never are wider than `room`, except for single letters that are.
TextBlock wrapped(const std::string& words, const TextStyle& style, double room);

/// In as few lines as that takes, all about equally long.
TextBlock balanced(const std::string& words, const TextStyle& style, double room);

struct CanvasPoint {
    double x = 0, y = 0;
};

/// How a line is drawn.
struct Pen {
    Srgb8 colour{0x2b, 0x2a, 0x28};
    double width = 1;
    std::vector<double> dashes = {};  ///< pixels on, off, on, ...; empty: unbroken
};

/// A sheet to put letters, rules and pictures on; pixels from the top left.
class Canvas {
public:
    Canvas(int width, int height, Srgb8 background);
    ~Canvas();
    Canvas(Canvas&&) noexcept;
    Canvas& operator=(Canvas&&) noexcept;

    int width() const;
    int height() const;
    /// Pixel for pixel, its top left corner at (x, y).
    void picture(const Picture8& picture, int x, int y);
    void line(double x0, double y0, double x1, double y1, Srgb8 colour, double width);
    void rectangle(double x, double y, double width, double height, Srgb8 colour);
    void frame(double x, double y, double width, double height, Srgb8 colour, double line_width);
    void polyline(const std::vector<CanvasPoint>& points, const Pen& pen);
    /// @param opacity  0..1; 1 hides what is underneath
    void polygon(const std::vector<CanvasPoint>& points, Srgb8 colour, double opacity);
    void dot(CanvasPoint middle, double radius, Srgb8 colour);
    /// The baseline starts, centres or ends at (x, y).
    void text(double x, double y, const std::string& words, const TextStyle& style);
    double text_width(const std::string& words, const TextStyle& style) const;
    /// Lines start, centre or end at x; the first one hangs from `top`.
    void block(double x, double top, const TextBlock& block);
    Picture8 pixels() const;

private:
    struct Sheet;
    std::unique_ptr<Sheet> sheet_;
};

/// The picture as files store it, made smaller where it is larger than columns x rows (its proportions kept).
Picture8 fitted(const Image& image, int columns, int rows);

/// A label on a line: where its middle would like to be and how long it is.
struct LabelWish {
    double middle = 0, length = 0;
};
/// Middles of labels that keep `gap` between them and their order, as near to their wishes as that allows (least
/// squares), within [low, high]. Labels that do not fit in there begin at `low` and run beyond `high`.
/// @param wishes  middles rising
std::vector<double> places_apart(const std::vector<LabelWish>& wishes, double low, double high, double gap);

/// The few colours all sheets share.
namespace ink {
inline constexpr Srgb8 kPaper{0xfb, 0xfa, 0xf7};
inline constexpr Srgb8 kText{0x2b, 0x2a, 0x28};
inline constexpr Srgb8 kQuiet{0x6b, 0x66, 0x60};
inline constexpr Srgb8 kRule{0xc9, 0xc2, 0xb8};
}  // namespace ink

}  // namespace loopread
