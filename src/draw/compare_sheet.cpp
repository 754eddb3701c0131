#include "loopread/draw/compare_sheet.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "draw/scale_bar.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr int kWidth = 1500, kMargin = 48;
constexpr double kRoom = kWidth - 2 * kMargin;
constexpr double kPanelGap = 36;
constexpr double kTallest = 760;   // of a picture beside the other
constexpr double kTallWide = 1.6;  // from this length over width on, pictures lie on their sides, one over the other
constexpr double kPlotWidth = 760, kPlotHeight = 330, kPlotLeft = kMargin + 62;
constexpr double kCloseUp = 250;  // pixels of a close-up
constexpr double kNoteWidth = 680;

constexpr Srgb8 kBefore{0x2f, 0x4d, 0x66}, kAfter{0xb0, 0x52, 0x2d};
constexpr Srgb8 kAlong{0xff, 0xd2, 0x3f}, kAcross{0x35, 0xe0, 0xd0}, kSlanting{0xff, 0x7a, 0xc8};
constexpr Srgb8 kOutline{0x14, 0x14, 0x14}, kPlot{0xff, 0xff, 0xff}, kGrid{0xec, 0xe8, 0xe1};

constexpr TextStyle kHeadline{.size = 27, .weight = Weight::bold};
constexpr TextStyle kSubtitle{.size = 15, .colour = ink::kQuiet};
constexpr TextStyle kTitle{.size = 17, .weight = Weight::bold};
constexpr TextStyle kCaption{.size = 14, .colour = ink::kQuiet};
constexpr TextStyle kAxis{.size = 13, .colour = ink::kQuiet};
constexpr TextStyle kNumber{.size = 13};
constexpr TextStyle kWords{.size = 15.5};

TextStyle styled(TextStyle style, Align align, Srgb8 colour = ink::kText) {
    style.align = align;
    style.colour = colour;
    return style;
}

Srgb8 colour_of(EdgeDirection direction) {
    switch (direction) {
        case EdgeDirection::along_rows:
            return kAlong;
        case EdgeDirection::across_rows:
            return kAcross;
        case EdgeDirection::slanting:
            break;
    }
    return kSlanting;
}

/// Where a picture lies on the sheet.
struct Frame {
    double x = 0, y = 0;
    int width = 0, height = 0;  ///< pixels
    double pixels_per_mm = 1;
    enum class Lies { upright, on_its_side } lies = Lies::upright;
    double length_mm = 0;  ///< of the picture, upright

    /// Turned anticlockwise: its top at the left.
    CanvasPoint at(double x_mm, double y_mm, double width_mm) const {
        if (lies == Lies::upright) return {x + x_mm * pixels_per_mm, y + y_mm * pixels_per_mm};
        return {x + y_mm * pixels_per_mm, y + (width_mm - x_mm) * pixels_per_mm};
    }
};

Image sampled(const DyedPicture& picture, const Frame& frame) {
    const bool upright = frame.lies == Frame::Lies::upright;
    const int columns = upright ? frame.width : frame.height, rows = upright ? frame.height : frame.width;
    const PixelBox whole{0, 0, static_cast<double>(picture.light.columns()), static_cast<double>(picture.light.rows())};
    const Image small = resampled(picture.light, whole, rows, columns);
    return upright ? small : turned(small, QuarterTurn::clockwise_270);
}

class Drawing {
public:
    explicit Drawing(const CompareSheet& sheet)
        : sheet_(sheet),
          headline_(balanced(sheet.headline, kHeadline, kRoom)),
          subtitle_(wrapped(sheet.subtitle, kSubtitle, kRoom)) {
        for (const ComparePanel& panel : sheet.panels)
            require(panel.picture && panel.edges && !panel.picture->light.empty(), "there are two pictures");
        lay_out();
    }

    Picture8 drawn() const {
        Canvas canvas(kWidth, static_cast<int>(std::ceil(bottom_)), ink::kPaper);
        canvas.block(kMargin, kMargin - 8, headline_);
        canvas.block(kMargin, kMargin + headline_.height() + 2, subtitle_);
        for (std::size_t i = 0; i < 2; ++i) draw_panel(canvas, i);
        draw_legend(canvas);
        draw_profiles(canvas);
        draw_close_ups(canvas);
        for (std::size_t i = 0; i < notes_.size(); ++i) draw_note(canvas, i);
        return canvas.pixels();
    }

private:
    struct Note {
        double x = 0, y = 0;
        TextBlock title, words;
    };

    bool stacked() const {
        return std::any_of(sheet_.panels.begin(), sheet_.panels.end(), [](const ComparePanel& panel) {
            return panel.picture->height_mm() > kTallWide * panel.picture->width_mm();
        });
    }

    void lay_out() {
        double y = kMargin + headline_.height() + subtitle_.height() + 44;
        y = stacked() ? pictures_stacked(y) : pictures_beside(y);
        legend_ = y + 6;
        plot_top_ = legend_ + 84;
        notes_below(plot_top_ + kPlotHeight + 128);
    }

    /// Both at one scale, so that they can be compared by eye.
    double pictures_beside(double y) {
        const double room = (kRoom - kPanelGap) / 2;
        double scale = 1e9;
        for (const ComparePanel& panel : sheet_.panels)
            scale = std::min({scale, room / panel.picture->width_mm(), kTallest / panel.picture->height_mm()});
        double tallest = 0;
        for (std::size_t i = 0; i < 2; ++i) {
            frames_[i] = frame_of(*sheet_.panels[i].picture, scale, Frame::Lies::upright);
            frames_[i].x = kMargin + static_cast<double>(i) * (room + kPanelGap);
            frames_[i].y = std::round(y + 26);
            tallest = std::max(tallest, static_cast<double>(frames_[i].height));
        }
        return y + 26 + tallest + 34;
    }

    double pictures_stacked(double y) {
        double scale = 1e9;
        for (const ComparePanel& panel : sheet_.panels)
            scale = std::min({scale, kRoom / panel.picture->height_mm(), kTallest / panel.picture->width_mm()});
        for (std::size_t i = 0; i < 2; ++i) {
            frames_[i] = frame_of(*sheet_.panels[i].picture, scale, Frame::Lies::on_its_side);
            frames_[i].x = kMargin;
            frames_[i].y = std::round(y + 26);
            y += 26 + frames_[i].height + 44;
        }
        return y;
    }

    static Frame frame_of(const DyedPicture& picture, double scale, Frame::Lies lies) {
        Frame frame;
        frame.lies = lies;
        frame.pixels_per_mm = scale;
        const int across = std::max(1, static_cast<int>(std::lround(picture.width_mm() * scale)));
        const int along = std::max(1, static_cast<int>(std::lround(picture.height_mm() * scale)));
        frame.width = lies == Frame::Lies::upright ? across : along;
        frame.height = lies == Frame::Lies::upright ? along : across;
        return frame;
    }

    void notes_below(double top) {
        std::array<double, 2> y{top, top};
        for (const CompareNote& note : sheet_.notes) {
            const std::size_t column = y[1] < y[0] ? 1 : 0;
            Note placed;
            placed.x = kMargin + static_cast<double>(column) * (kRoom - kNoteWidth);
            placed.y = y[column];
            placed.title = wrapped(note.title, kTitle, kNoteWidth);
            placed.words = wrapped(note.words, kWords, kNoteWidth);
            y[column] += placed.title.height() + 4 + placed.words.height() + 22;
            notes_.push_back(placed);
        }
        bottom_ = std::max(y[0], y[1]) + kMargin - 22;
    }

    void draw_panel(Canvas& canvas, std::size_t i) const {
        const ComparePanel& panel = sheet_.panels[i];
        const Frame& frame = frames_[i];
        const Srgb8 colour = i == 0 ? kBefore : kAfter;
        canvas.text(frame.x, frame.y - 10, panel.title, styled(kTitle, Align::left, colour));
        const double after_title = canvas.text_width(panel.title, kTitle) + 14;
        canvas.text(frame.x + after_title, frame.y - 10, panel.caption, kCaption);
        canvas.picture(encoded(sampled(*panel.picture, frame)), static_cast<int>(frame.x), static_cast<int>(frame.y));
        canvas.frame(frame.x - 0.5, frame.y - 0.5, frame.width + 1, frame.height + 1, ink::kRule, 1);
        for (const auto& [line_width, outline] : {std::pair{5.0, true}, std::pair{2.6, false}})
            for (const EdgePiece& piece : *panel.edges)
                draw_piece(canvas, frame, piece, {outline ? kOutline : colour_of(piece.direction()), line_width});
    }

    void draw_piece(Canvas& canvas, const Frame& frame, const EdgePiece& piece, const Pen& pen) const {
        const double half = 0.8 * piece.half_length_mm;
        const double width = frame.lies == Frame::Lies::upright ? 0 : frame.height / frame.pixels_per_mm;
        const EdgePlace& p = piece.place;
        const CanvasPoint from = frame.at(p.x_mm - half * p.normal_y, p.y_mm + half * p.normal_x, width);
        const CanvasPoint to = frame.at(p.x_mm + half * p.normal_y, p.y_mm - half * p.normal_x, width);
        canvas.line(from.x, from.y, to.x, to.y, pen.colour, pen.width);
    }

    void draw_legend(Canvas& canvas) const {
        double x = kMargin;
        const double y = legend_ + 8;
        canvas.text(x, y + 5, "edges measured:", kCaption);
        x += canvas.text_width("edges measured:", kCaption) + 18;
        for (const EdgeDirection direction :
             {EdgeDirection::along_rows, EdgeDirection::across_rows, EdgeDirection::slanting}) {
            canvas.line(x, y, x + 30, y, kOutline, 6);
            canvas.line(x + 1.2, y, x + 28.8, y, colour_of(direction), 3.4);
            const std::string words = direction_words(direction);
            canvas.text(x + 40, y + 5, words, kCaption);
            x += 40 + canvas.text_width(words, kCaption) + 28;
        }
        const double per_cm = 10 * frames_[0].pixels_per_mm;
        draw_scale_bar(canvas, {kWidth - kMargin - 260, y - 5, per_cm, 190});
    }

    // ---- mean edges
    double reach() const {
        double most = std::max(1.0, sheet_.floor_mm);
        for (const CompareProfile& profile : sheet_.profiles) most = std::max(most, 1.35 * profile.width_mm);
        return most;
    }
    double plot_x(double mm) const { return kPlotLeft + (mm / reach() + 1) / 2 * kPlotWidth; }
    double plot_y(double share) const { return plot_top_ + kPlotHeight * (1.06 - share) / 1.12; }

    void draw_profiles(Canvas& canvas) const {
        canvas.text(kMargin, plot_top_ - 18, "The mean edge, from ground to motif", kTitle);
        canvas.rectangle(kPlotLeft, plot_top_, kPlotWidth, kPlotHeight, kPlot);
        draw_shares(canvas);
        draw_millimetres(canvas);
        for (std::size_t i = 0; i < 2; ++i) draw_profile(canvas, i);
        draw_widths(canvas);
    }

    void draw_shares(Canvas& canvas) const {
        for (const int percent : {0, 10, 50, 90, 100}) {
            const double y = std::round(plot_y(percent / 100.0)) + 0.5;
            const bool limit = percent == 10 || percent == 90;
            canvas.polyline(
                {{kPlotLeft, y}, {kPlotLeft + kPlotWidth, y}},
                {limit ? ink::kQuiet : kGrid, 1, limit ? std::vector<double>{2, 4} : std::vector<double>{}});
            canvas.text(kPlotLeft - 10, y + 4.5, std::to_string(percent) + " %", styled(kNumber, Align::right));
        }
    }

    void draw_millimetres(Canvas& canvas) const {
        double step = 0.1;
        for (const double s : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0}) {
            step = s;
            if (s / (2 * reach()) * kPlotWidth >= 56) break;
        }
        const double y = plot_top_ + kPlotHeight;
        const int most = static_cast<int>(reach() / step);
        for (int i = -most; i <= most; ++i) {
            const double x = std::round(plot_x(i * step)) + 0.5;
            canvas.line(x, y, x, y + 6, ink::kQuiet, 1);
            canvas.text(x, y + 22, number_text(i * step, 1), styled(kNumber, Align::middle));
        }
        canvas.line(kPlotLeft, y + 0.5, kPlotLeft + kPlotWidth, y + 0.5, ink::kQuiet, 1);
        canvas.text(kPlotLeft, y + 42, "ground", kAxis);
        canvas.text(kPlotLeft + kPlotWidth / 2, y + 42, "mm from the edge", styled(kAxis, Align::middle, ink::kQuiet));
        canvas.text(kPlotLeft + kPlotWidth, y + 42, "motif", styled(kAxis, Align::right, ink::kQuiet));
    }

    void draw_profile(Canvas& canvas, std::size_t i) const {
        const CompareProfile& profile = sheet_.profiles[i];
        if (profile.profile.values.empty()) return;
        std::vector<CanvasPoint> points;
        constexpr int kSteps = 300;
        for (int k = 0; k <= kSteps; ++k) {
            const double mm = reach() * (2.0 * k / kSteps - 1);
            points.push_back({plot_x(mm), plot_y(std::clamp(profile.profile.at(mm), -0.03, 1.03))});
        }
        canvas.polyline(points, {i == 0 ? kBefore : kAfter, 3.2});
    }

    /// Bars as long as the widths, with the finest that can be seen.
    void draw_widths(Canvas& canvas) const {
        double y = plot_top_ + kPlotHeight + 62;
        const auto bar = [&](double mm, const std::string& words, Srgb8 colour) {
            const double from = plot_x(-mm / 2), to = plot_x(mm / 2);
            canvas.line(from, y, to, y, colour, 3);
            for (const double end : {from, to}) canvas.line(end, y - 6, end, y + 6, colour, 2);
            const double beside = std::max(to + 12, plot_x(0) + 40);
            canvas.text(beside, y + 5, words, styled(kNumber, Align::left, colour));
            y += 22;
        };
        for (std::size_t i = 0; i < 2; ++i)
            if (!sheet_.profiles[i].profile.values.empty())
                bar(sheet_.profiles[i].width_mm,
                    sheet_.profiles[i].name + ": " + number_text(sheet_.profiles[i].width_mm, 2) + " mm (10 to 90 %)",
                    i == 0 ? kBefore : kAfter);
        if (sheet_.floor_mm > 0)
            bar(sheet_.floor_mm, "finer than " + number_text(sheet_.floor_mm, 2) + " mm cannot be seen", ink::kQuiet);
    }

    // ---- one edge close up
    /// The piece whose width is the middle one; of pairs the same in both pictures.
    const EdgePiece* typical(std::size_t panel) const {
        const std::vector<EdgePiece>& edges = *sheet_.panels[panel].edges;
        if (edges.empty()) return nullptr;
        const bool pairs = sheet_.panels[0].edges->size() == sheet_.panels[1].edges->size();
        const std::vector<EdgePiece>& judged = pairs ? *sheet_.panels[1].edges : edges;
        const double middle = median_width(judged);
        const auto nearest = std::min_element(judged.begin(), judged.end(), [&](const auto& a, const auto& b) {
            return std::abs(a.width_mm - middle) < std::abs(b.width_mm - middle);
        });
        return &edges[static_cast<std::size_t>(nearest - judged.begin())];
    }

    void draw_close_ups(Canvas& canvas) const {
        const double left = kWidth - kMargin - 2 * kCloseUp - 24;
        canvas.text(left, plot_top_ - 18, "One edge of middle width, close up", kTitle);
        const double mm = std::max(12.0, 2.4 * reach());
        for (std::size_t i = 0; i < 2; ++i) {
            const EdgePiece* piece = typical(i);
            const double x = left + static_cast<double>(i) * (kCloseUp + 24);
            if (piece)
                canvas.picture(encoded(close_up(*sheet_.panels[i].picture, *piece, mm)), static_cast<int>(x),
                               static_cast<int>(plot_top_));
            canvas.frame(std::floor(x) - 0.5, std::floor(plot_top_) - 0.5, kCloseUp + 1, kCloseUp + 1, ink::kRule, 1);
            canvas.text(x, plot_top_ + kCloseUp + 22, sheet_.profiles[i].name,
                        styled(kNumber, Align::left, i == 0 ? kBefore : kAfter));
        }
        draw_scale_bar(canvas, {left, plot_top_ + kCloseUp + 40, 10 * kCloseUp / mm, kCloseUp - 60});
    }

    /// Turned so that the edge stands upright, ground at the left.
    static Image close_up(const DyedPicture& picture, const EdgePiece& piece, double mm) {
        const int pixels = static_cast<int>(kCloseUp);
        Image out(pixels, pixels);
        const EdgePlace& p = piece.place;
        for (int r = 0; r < pixels; ++r)
            for (int c = 0; c < pixels; ++c) {
                const double u = ((c + 0.5) / pixels - 0.5) * mm, v = ((r + 0.5) / pixels - 0.5) * mm;
                out(r, c) = at(picture.light, (p.x_mm + u * p.normal_x - v * p.normal_y) / picture.pixel_width_mm,
                               (p.y_mm + u * p.normal_y + v * p.normal_x) / picture.pixel_height_mm);
            }
        return out;
    }

    void draw_note(Canvas& canvas, std::size_t i) const {
        const Note& note = notes_[i];
        canvas.block(note.x, note.y, note.title);
        canvas.block(note.x, note.y + note.title.height() + 4, note.words);
    }

    const CompareSheet& sheet_;
    TextBlock headline_, subtitle_;
    std::array<Frame, 2> frames_;
    double legend_ = 0, plot_top_ = 0, bottom_ = 0;
    std::vector<Note> notes_;
};

}  // namespace

Picture8 compare_sheet(const CompareSheet& sheet) {
    return Drawing(sheet).drawn();
}

}  // namespace loopread
