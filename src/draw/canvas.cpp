#include "loopread/draw/canvas.h"

#include <cairo.h>

#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

struct SurfaceEnd {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceEnd>;

Surface surface_of(int width, int height) {
    Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    require(cairo_surface_status(surface.get()) == CAIRO_STATUS_SUCCESS, "a sheet of this size can be made");
    return surface;
}

std::uint32_t packed(Srgb8 c) {
    return static_cast<std::uint32_t>(c.r) << 16 | static_cast<std::uint32_t>(c.g) << 8 |
           static_cast<std::uint32_t>(c.b);
}

std::uint32_t* row_of(cairo_surface_t* surface, int row) {
    unsigned char* bytes = cairo_image_surface_get_data(surface) +
                           static_cast<std::ptrdiff_t>(row) * cairo_image_surface_get_stride(surface);
    return reinterpret_cast<std::uint32_t*>(bytes);  // cairo promises native 32-bit pixels, aligned
}

}  // namespace

struct Canvas::Sheet {
    Surface surface;
    cairo_t* cairo = nullptr;

    Sheet(int width, int height) : surface(surface_of(width, height)), cairo(cairo_create(surface.get())) {}
    Sheet(const Sheet&) = delete;
    Sheet& operator=(const Sheet&) = delete;
    ~Sheet() { cairo_destroy(cairo); }

    void ink(Srgb8 c) const { cairo_set_source_rgb(cairo, c.r / 255.0, c.g / 255.0, c.b / 255.0); }
    void font(const TextStyle& style) const {
        cairo_select_font_face(cairo, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL,
                               style.weight == Weight::bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
        cairo_set_font_size(cairo, style.size);
        cairo_font_options_t* options = cairo_font_options_create();
        cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
        cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_SLIGHT);
        cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_ON);
        cairo_set_font_options(cairo, options);
        cairo_font_options_destroy(options);
    }
};

Canvas::Canvas(int width, int height, Srgb8 background) {
    require(width > 0 && height > 0 && width <= 32000 && height <= 32000, "a sheet has a size that can be drawn");
    sheet_ = std::make_unique<Sheet>(width, height);
    sheet_->ink(background);
    cairo_paint(sheet_->cairo);
}
Canvas::~Canvas() = default;
Canvas::Canvas(Canvas&&) noexcept = default;
Canvas& Canvas::operator=(Canvas&&) noexcept = default;

int Canvas::width() const {
    return cairo_image_surface_get_width(sheet_->surface.get());
}
int Canvas::height() const {
    return cairo_image_surface_get_height(sheet_->surface.get());
}

void Canvas::picture(const Picture8& picture, int x, int y) {
    cairo_surface_t* surface = sheet_->surface.get();
    cairo_surface_flush(surface);
    for (int row = 0; row < picture.rows(); ++row) {
        if (y + row < 0 || y + row >= height()) continue;
        std::uint32_t* out = row_of(surface, y + row);
        for (int column = 0; column < picture.columns(); ++column)
            if (x + column >= 0 && x + column < width()) out[x + column] = packed(picture(row, column));
    }
    cairo_surface_mark_dirty(surface);
}

void Canvas::line(double x0, double y0, double x1, double y1, Srgb8 colour, double line_width) {
    sheet_->ink(colour);
    cairo_set_line_width(sheet_->cairo, line_width);
    cairo_move_to(sheet_->cairo, x0, y0);
    cairo_line_to(sheet_->cairo, x1, y1);
    cairo_stroke(sheet_->cairo);
}

void Canvas::rectangle(double x, double y, double w, double h, Srgb8 colour) {
    sheet_->ink(colour);
    cairo_rectangle(sheet_->cairo, x, y, w, h);
    cairo_fill(sheet_->cairo);
}

void Canvas::frame(double x, double y, double w, double h, Srgb8 colour, double line_width) {
    sheet_->ink(colour);
    cairo_set_line_width(sheet_->cairo, line_width);
    cairo_rectangle(sheet_->cairo, x, y, w, h);
    cairo_stroke(sheet_->cairo);
}

void Canvas::text(double x, double y, const std::string& words, const TextStyle& style) {
    const double shift =
        style.align == Align::left ? 0 : text_width(words, style) * (style.align == Align::middle ? 0.5 : 1);
    sheet_->ink(style.colour);
    sheet_->font(style);
    cairo_move_to(sheet_->cairo, std::round(x - shift), std::round(y));
    cairo_show_text(sheet_->cairo, words.c_str());
}

double Canvas::text_width(const std::string& words, const TextStyle& style) const {
    sheet_->font(style);
    cairo_text_extents_t extents;
    cairo_text_extents(sheet_->cairo, words.c_str(), &extents);
    return extents.x_advance;
}

Picture8 Canvas::pixels() const {
    cairo_surface_t* surface = sheet_->surface.get();
    cairo_surface_flush(surface);
    Picture8 out(height(), width());
    for (int row = 0; row < out.rows(); ++row) {
        const std::uint32_t* in = row_of(surface, row);
        for (int column = 0; column < out.columns(); ++column)
            out(row, column) = {static_cast<std::uint8_t>(in[column] >> 16 & 255),
                                static_cast<std::uint8_t>(in[column] >> 8 & 255),
                                static_cast<std::uint8_t>(in[column] & 255)};
    }
    return out;
}

}  // namespace loopread
