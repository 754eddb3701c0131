#pragma once

#include <memory>
#include <string>

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
    /// The baseline starts, centres or ends at (x, y).
    void text(double x, double y, const std::string& words, const TextStyle& style);
    double text_width(const std::string& words, const TextStyle& style) const;
    Picture8 pixels() const;

private:
    struct Sheet;
    std::unique_ptr<Sheet> sheet_;
};

/// The few colours all sheets share.
namespace ink {
inline constexpr Srgb8 kPaper{0xfb, 0xfa, 0xf7};
inline constexpr Srgb8 kText{0x2b, 0x2a, 0x28};
inline constexpr Srgb8 kQuiet{0x6b, 0x66, 0x60};
inline constexpr Srgb8 kRule{0xc9, 0xc2, 0xb8};
}  // namespace ink

}  // namespace loopread
