#include "loopread/draw/sock_sheet.h"

#include <algorithm>
#include <cmath>

#include "draw/scale_bar.h"
#include "loopread/base/require.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

constexpr int kMargin = 40;
constexpr int kPanelGap = 56;
constexpr double kGutter = 34;     // between a sock and its notes: the lines turn in there
constexpr double kNoteRoom = 190;  // for the words of a note
constexpr double kNoteGap = 12;

/// Letters grow with the pictures, so that a sheet shown at the size of the screen can still be read.
/// chosen: 1 up to socks 800 pixels tall, 2 from 1600 on.
double letter_size(const std::vector<SockPanel>& socks) {
    int tallest = 0;
    for (const SockPanel& sock : socks) tallest = std::max(tallest, sock.sock.rows());
    return std::clamp(tallest / 800.0, 1.0, 2.0);
}

TextStyle grown(TextStyle style, double times) {
    style.size = std::round(2 * style.size * times) / 2;
    return style;
}

/// The notes of one side of a sock, from the top down.
struct NoteColumn {
    struct Note {
        CanvasPoint point;  // in the picture
        TextBlock words;
    };
    std::vector<Note> notes;

    double width() const {
        double widest = 0;
        for (const Note& note : notes) widest = std::max(widest, note.words.width());
        return std::ceil(widest);
    }
    double height(double gap) const {
        double sum = 0;
        for (const Note& note : notes) sum += note.words.height() + gap;
        return std::max(0.0, sum - gap);
    }
};

enum class Beside { left, right };

/// Notes go to the nearer side.
NoteColumn note_column(const SockPanel& panel, Beside side, double times) {
    NoteColumn column;
    const double last_x = std::max(0, panel.sock.columns() - 1), last_y = std::max(0, panel.sock.rows() - 1);
    for (const SockNote& note : panel.notes) {
        if (note.words.empty()) continue;
        const CanvasPoint point{std::clamp(note.x, 0.0, last_x), std::clamp(note.y, 0.0, last_y)};
        if ((point.x < last_x / 2) == (side == Beside::left))
            column.notes.push_back({point, balanced(note.words, grown({.size = 13.5}, times), kNoteRoom * times)});
    }
    std::stable_sort(column.notes.begin(), column.notes.end(),
                     [](const auto& a, const auto& b) { return a.point.y < b.point.y; });
    return column;
}

struct LaidOutSock {
    const SockPanel* panel = nullptr;
    NoteColumn left, right;
    TextBlock title, caption;
    double picture_x = 0;  // from the panel's left
    double width = 0, height = 0;
};

LaidOutSock laid_out(const SockPanel& panel, double times) {
    LaidOutSock sock;
    sock.panel = &panel;
    sock.left = note_column(panel, Beside::left, times);
    sock.right = note_column(panel, Beside::right, times);
    const double gutter = kGutter * times;
    const auto room = [&](const NoteColumn& column) { return column.notes.empty() ? 0 : column.width() + gutter; };
    sock.picture_x = room(sock.left);
    const double words = std::max<double>(panel.sock.columns(), 260 * times);
    sock.title = wrapped(panel.title, grown({.size = 18, .weight = Weight::bold}, times), words);
    sock.caption = wrapped(panel.caption, grown({.size = 14, .colour = ink::kQuiet}, times), words);
    sock.width =
        sock.picture_x + std::max({panel.sock.columns() + room(sock.right), sock.title.width(), sock.caption.width()});
    sock.height = std::max({static_cast<double>(panel.sock.rows()), sock.left.height(kNoteGap * times),
                            sock.right.height(kNoteGap * times)});
    return sock;
}

class SockDrawing {
public:
    explicit SockDrawing(const SockSheet& sheet) : sheet_(sheet), times_(letter_size(sheet.socks)) {
        for (const SockPanel& panel : sheet.socks) {
            socks_.push_back(laid_out(panel, times_));
            const LaidOutSock& sock = socks_.back();
            width_ += sock.width + (socks_.size() > 1 ? kPanelGap * times_ : 0);
            titles_ = std::max(titles_, sock.title.height());
            tallest_ = std::max(tallest_, sock.height);
            captions_ = std::max(captions_, sock.caption.height());
        }
        width_ = std::max(width_, 420 * times_);
        headline_ = balanced(sheet.headline, grown({.size = 25, .weight = Weight::bold}, times_), width_);
    }

    Picture8 drawn() const {
        const double margin = kMargin * times_;
        const double head = headline_.lines.empty() ? 0 : headline_.height() + 18 * times_;
        const double top = std::round(margin + head + titles_ + 14 * times_), bottom = top + std::ceil(tallest_);
        const double captions = bottom + 14 * times_, bar = captions + captions_ + 18 * times_;
        const double end = sheet_.pixels_per_cm > 0 ? bar + 12 * times_ : captions + captions_;
        Canvas canvas(static_cast<int>(std::ceil(width_ + 2 * margin)), static_cast<int>(std::ceil(end + margin)),
                      ink::kPaper);
        canvas.block(margin, margin - 6 * times_, headline_);
        double x = margin;
        for (const LaidOutSock& sock : socks_) {
            const double picture_x = std::round(x + sock.picture_x);
            canvas.block(picture_x, top - 14 * times_ - sock.title.height(), sock.title);
            draw_sock(canvas, sock, {picture_x, bottom - sock.panel->sock.rows()}, {top, bottom});
            canvas.block(picture_x, captions, sock.caption);
            x += sock.width + kPanelGap * times_;
        }
        if (sheet_.pixels_per_cm > 0)
            draw_scale_bar(canvas, {.x = std::round(margin + socks_.front().picture_x),
                                    .y = std::round(bar),
                                    .pixels_per_cm = sheet_.pixels_per_cm,
                                    .room = std::min(260 * times_, width_ - socks_.front().picture_x - 100 * times_),
                                    .letters = 13 * times_});
        return canvas.pixels();
    }

private:
    struct Heights {
        double top = 0, bottom = 0;
    };

    void draw_sock(Canvas& canvas, const LaidOutSock& sock, CanvasPoint corner, Heights heights) const {
        canvas.picture(encoded(sock.panel->sock), static_cast<int>(corner.x), static_cast<int>(corner.y));
        draw_notes(canvas, sock, Beside::left, corner, heights);
        draw_notes(canvas, sock, Beside::right, corner, heights);
    }

    /// A line runs level from its place to the picture's edge and turns to its note beyond it: notes keep the order of
    /// their places, so lines do not cross.
    void draw_notes(Canvas& canvas, const LaidOutSock& sock, Beside side, CanvasPoint corner, Heights heights) const {
        const bool at_left = side == Beside::left;
        const NoteColumn& column = at_left ? sock.left : sock.right;
        std::vector<LabelWish> wishes;
        for (const auto& note : column.notes) wishes.push_back({corner.y + note.point.y, note.words.height()});
        const std::vector<double> middles = places_apart(wishes, heights.top, heights.bottom, kNoteGap * times_);
        const double edge = at_left ? corner.x : corner.x + sock.panel->sock.columns();
        const double outwards = at_left ? -1 : 1;
        std::vector<std::vector<CanvasPoint>> lines;
        for (std::size_t i = 0; i < column.notes.size(); ++i) {
            const NoteColumn::Note& note = column.notes[i];
            const double y = std::floor(corner.y + note.point.y) + 0.5;
            const double reach = std::max(0.0, note.words.height() / 2 - 5 * times_);
            lines.push_back(
                {{corner.x + note.point.x, y},
                 {edge, y},
                 {edge + outwards * (kGutter - 8) * times_, std::clamp(y, middles[i] - reach, middles[i] + reach)}});
            TextBlock words = note.words;
            words.style.align = at_left ? Align::right : Align::left;
            canvas.block(edge + outwards * kGutter * times_, std::round(middles[i] - words.height() / 2), words);
        }
        draw_lines(canvas, lines);
    }

    /// Thin and dark within a pale edge, so that they show on any colour; all edges lie below all lines.
    void draw_lines(Canvas& canvas, const std::vector<std::vector<CanvasPoint>>& lines) const {
        for (const auto& line : lines) {
            canvas.polyline(line, {ink::kPaper, 3.4 * times_});
            canvas.dot(line.front(), 4.6 * times_, ink::kPaper);
        }
        for (const auto& line : lines) {
            canvas.polyline(line, {ink::kQuiet, 1.2 * times_});
            canvas.dot(line.front(), 3 * times_, ink::kText);
        }
    }

    const SockSheet& sheet_;
    double times_;
    std::vector<LaidOutSock> socks_;
    TextBlock headline_;
    double width_ = 0;  // without margins
    double titles_ = 0, tallest_ = 0, captions_ = 0;
};

}  // namespace

Picture8 sock_sheet(const SockSheet& sheet) {
    require(!sheet.socks.empty(), "there are socks to draw");
    return SockDrawing(sheet).drawn();
}

}  // namespace loopread
