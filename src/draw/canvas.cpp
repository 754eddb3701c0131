#include "loopread/draw/canvas.h"

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <new>
#include <string_view>

#include "loopread/base/require.h"
#include "loopread/base/room.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

struct SurfaceEnd {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceEnd>;

/// chosen: enough for fonts with another thread at work. The library that looks them up crashes for want of memory.
constexpr std::size_t kRoomForFonts = std::size_t{64} << 20;

Surface surface_of(int width, int height) {
    check_room(kRoomForFonts);
    Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    const cairo_status_t status = cairo_surface_status(surface.get());
    if (status == CAIRO_STATUS_NO_MEMORY) throw std::bad_alloc();
    require(status == CAIRO_STATUS_SUCCESS, "a sheet of this size can be made");
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

/// Bytes of the UTF-8 letter that starts here.
std::size_t letter_bytes(std::string_view rest) {
    std::size_t bytes = 1;
    while (bytes < rest.size() && (static_cast<unsigned char>(rest[bytes]) & 0xc0) == 0x80) ++bytes;
    return bytes;
}

/// Fills lines word by word.
class LineFiller {
public:
    LineFiller(const TextStyle& style, double room) : ruler_(1, 1, ink::kPaper), style_(style), room_(room) {}

    void add(const std::string& word) {
        const std::string longer = line_.empty() ? word : line_ + " " + word;
        if (fits(longer)) {
            line_ = longer;
            return;
        }
        if (!line_.empty()) end_line();
        add_in_pieces(word);
    }
    void end_line() {
        lines_.push_back(line_);
        line_.clear();
    }
    std::vector<std::string> lines() const { return lines_; }

private:
    bool fits(const std::string& words) const { return ruler_.text_width(words, style_) <= room_; }
    void add_in_pieces(std::string_view word) {
        while (!word.empty()) {
            const std::string_view letter = word.substr(0, letter_bytes(word));
            if (!line_.empty() && !fits(line_ + std::string(letter))) end_line();
            line_ += letter;
            word.remove_prefix(letter.size());
        }
    }

    Canvas ruler_;
    TextStyle style_;
    double room_;
    std::string line_;
    std::vector<std::string> lines_;
};

}  // namespace

double TextBlock::line_height() const {
    return std::round(1.36 * style.size);  // chosen: the face's own ascent and descent and a little air
}

double TextBlock::width() const {
    const Canvas ruler(1, 1, ink::kPaper);
    double widest = 0;
    for (const std::string& line : lines) widest = std::max(widest, ruler.text_width(line, style));
    return widest;
}

TextBlock wrapped(const std::string& words, const TextStyle& style, double room) {
    if (words.empty()) return {{}, style};
    LineFiller filler(style, room);
    std::string word;
    for (const char letter : words + "\n") {
        if (letter != ' ' && letter != '\n') {
            word += letter;
            continue;
        }
        if (!word.empty()) filler.add(word);
        word.clear();
        if (letter == '\n') filler.end_line();
    }
    return {filler.lines(), style};
}

TextBlock balanced(const std::string& words, const TextStyle& style, double room) {
    TextBlock result = wrapped(words, style, room);
    const std::size_t lines = result.lines.size();
    constexpr double kStep = 4;
    for (double narrower = result.width() - 1; narrower > style.size; narrower -= kStep) {
        const TextBlock next = wrapped(words, style, narrower);
        const bool broken_word = next.width() > narrower;
        if (next.lines.size() > lines || broken_word) break;
        result = next;
    }
    return result;
}

Picture8 fitted(const Image& image, int columns, int rows) {
    require(columns > 0 && rows > 0, "there is room for a picture");
    if (image.empty()) return {};
    const double smaller =
        std::min({1.0, static_cast<double>(columns) / image.columns(), static_cast<double>(rows) / image.rows()});
    if (smaller == 1.0) return encoded(image);
    const auto side = [&](int pixels) { return std::max(1, static_cast<int>(std::floor(pixels * smaller + 1e-9))); };
    const PixelBox all{0, 0, static_cast<double>(image.columns()), static_cast<double>(image.rows())};
    return encoded(resampled(image, all, side(image.rows()), side(image.columns())));
}

std::vector<double> places_apart(const std::vector<LabelWish>& wishes, double low, double high, double gap) {
    // Labels that touch form a row; a row stands where the mean of its labels' wishes puts it, and rows that then meet
    // become one (pooling of adjacent violators).
    struct Row {
        std::size_t labels;
        double wished_starts;  // sum over the labels, each less its distance from the row's start
        double length;
        double start;
    };
    const auto placed = [&](Row row) {
        row.start = std::max(low, std::min(row.wished_starts / static_cast<double>(row.labels), high - row.length));
        return row;
    };
    std::vector<Row> rows;
    for (const LabelWish& wish : wishes) {
        rows.push_back(placed({1, wish.middle - wish.length / 2, wish.length, 0}));
        while (rows.size() > 1 &&
               rows[rows.size() - 2].start + rows[rows.size() - 2].length + gap > rows.back().start) {
            const Row last = rows.back();
            rows.pop_back();
            Row& row = rows.back();
            row.wished_starts += last.wished_starts - static_cast<double>(last.labels) * (row.length + gap);
            row.labels += last.labels;
            row.length += gap + last.length;
            row = placed(row);
        }
    }
    std::vector<double> middles;
    for (const Row& row : rows) {
        double start = row.start;
        for (std::size_t i = 0; i < row.labels; ++i) {
            const double length = wishes[middles.size()].length;
            middles.push_back(start + length / 2);
            start += length + gap;
        }
    }
    return middles;
}

struct Canvas::Sheet {
    Surface surface;
    cairo_t* cairo = nullptr;

    Sheet(int width, int height) : surface(surface_of(width, height)), cairo(cairo_create(surface.get())) {}
    Sheet(const Sheet&) = delete;
    Sheet& operator=(const Sheet&) = delete;
    ~Sheet() { cairo_destroy(cairo); }

    /// What cairo had no memory to draw it leaves out, and goes on.
    void check_memory() const {
        if (cairo_status(cairo) == CAIRO_STATUS_NO_MEMORY) throw std::bad_alloc();
    }

    void ink(Srgb8 c) const { cairo_set_source_rgb(cairo, c.r / 255.0, c.g / 255.0, c.b / 255.0); }
    void path(const std::vector<CanvasPoint>& points) const {
        cairo_new_path(cairo);
        for (const CanvasPoint& point : points) cairo_line_to(cairo, point.x, point.y);
    }
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

void Canvas::polyline(const std::vector<CanvasPoint>& points, const Pen& pen) {
    sheet_->ink(pen.colour);
    cairo_set_line_width(sheet_->cairo, pen.width);
    cairo_set_line_join(sheet_->cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_set_dash(sheet_->cairo, pen.dashes.data(), static_cast<int>(pen.dashes.size()), 0);
    sheet_->path(points);
    cairo_stroke(sheet_->cairo);
    cairo_set_dash(sheet_->cairo, nullptr, 0, 0);
    cairo_set_line_join(sheet_->cairo, CAIRO_LINE_JOIN_MITER);
}

void Canvas::polygon(const std::vector<CanvasPoint>& points, Srgb8 colour, double opacity) {
    cairo_set_source_rgba(sheet_->cairo, colour.r / 255.0, colour.g / 255.0, colour.b / 255.0, opacity);
    sheet_->path(points);
    cairo_fill(sheet_->cairo);
}

void Canvas::dot(CanvasPoint middle, double radius, Srgb8 colour) {
    sheet_->ink(colour);
    cairo_new_path(sheet_->cairo);
    cairo_arc(sheet_->cairo, middle.x, middle.y, radius, 0, 2 * std::acos(-1.0));
    cairo_fill(sheet_->cairo);
}

void Canvas::block(double x, double top, const TextBlock& block) {
    double baseline = top + std::round(block.style.size);
    for (const std::string& line : block.lines) {
        text(x, baseline, line, block.style);
        baseline += block.line_height();
    }
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
    sheet_->check_memory();
    return extents.x_advance;
}

Picture8 Canvas::pixels() const {
    sheet_->check_memory();
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
