#include "loopread/draw/contrast_sheet.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kMargin = 44;
constexpr int kPictureWidth = 340;
constexpr int kTallest = 1040;
constexpr int kBetween = 28;
constexpr int kSwatchWidth = 116;
constexpr int kSwatchHeight = 64;
constexpr int kWordsWidth = 430;
constexpr int kRowsWidth = 2 * kSwatchWidth + 12 + 18 + kWordsWidth;
constexpr double kPictureWords = 24;
constexpr double kRowGap = 24;
constexpr double kSmooth = 3;  // corners on each side that a line is smoothed over

constexpr TextStyle kHeadline{.size = 27, .weight = Weight::bold};
constexpr TextStyle kWhy{.size = 16, .colour = ink::kQuiet};
constexpr TextStyle kSmall{.size = 12.5, .colour = ink::kQuiet};
constexpr TextStyle kNames{.size = 15.5, .weight = Weight::bold};
constexpr TextStyle kFigures{.size = 13.5};
constexpr TextStyle kVerdict{.size = 13.5, .weight = Weight::bold};
constexpr TextStyle kFoot{.size = 13, .colour = ink::kQuiet};

/// Steps from pixel to pixel drawn as the curve they stand for; ends stay where they are.
std::vector<CanvasPoint> smoothed(const std::vector<CanvasPoint>& line) {
    const auto count = static_cast<int>(line.size());
    std::vector<CanvasPoint> out;
    for (int i = 0; i < count; ++i) {
        const int reach = std::min({static_cast<int>(kSmooth), i, count - 1 - i});
        CanvasPoint sum;
        for (int k = i - reach; k <= i + reach; ++k) {
            sum.x += line[static_cast<std::size_t>(k)].x;
            sum.y += line[static_cast<std::size_t>(k)].y;
        }
        out.push_back({sum.x / (2 * reach + 1), sum.y / (2 * reach + 1)});
    }
    return out;
}

void dashed(Canvas& canvas, const std::vector<CanvasPoint>& line) {
    canvas.polyline(line, {.colour = {0xff, 0xff, 0xff}, .width = 3.6});
    canvas.polyline(line, {.colour = {0, 0, 0}, .width = 2.2, .dashes = {5, 5}});
}

/// Two colours edge to edge, as large as that tells best.
void draw_pair(Canvas& canvas, double x, double y, LinearRgb darker, LinearRgb lighter) {
    canvas.rectangle(x, y, kSwatchWidth, kSwatchHeight, srgb8_from_linear(lighter));
    canvas.rectangle(x, y, kSwatchWidth / 2.0, kSwatchHeight, srgb8_from_linear(darker));
    canvas.frame(x + 0.5, y + 0.5, kSwatchWidth - 1, kSwatchHeight - 1, ink::kRule, 1);
}

struct LaidOutRow {
    const ContrastRow* row = nullptr;
    TextBlock names, figures, verdict, advice;
    double height() const {
        return std::max<double>(kSwatchHeight,
                                names.height() + figures.height() + verdict.height() + advice.height() + 8);
    }
};

class ContrastDrawing {
public:
    explicit ContrastDrawing(const ContrastSheet& sheet) : sheet_(sheet) {
        require(!sheet.picture.empty(), "there is a picture to mark");
        picture_ = fitted(sheet.picture, kPictureWidth, kTallest);
        grey_ = fitted(decoded(sheet.grey), kPictureWidth, kTallest);
        rows_left_ = kMargin + picture_.columns() + kBetween + grey_.columns() + kBetween + 12;
        width_ = rows_left_ + kRowsWidth + kMargin;
        const double room = width_ - 2.0 * kMargin;
        headline_ = balanced(sheet.headline, kHeadline, room);
        why_ = wrapped(sheet.why, kWhy, std::min(room, 1150.0));
        foot_ = wrapped(sheet.foot, kFoot, room);
        for (const ContrastRow& row : sheet.rows) {
            rows_.push_back(
                {&row, wrapped(row.names, kNames, kWordsWidth), wrapped(row.figures, kFigures, kWordsWidth),
                 wrapped(row.verdict, kVerdict, kWordsWidth),
                 row.advice.empty() ? TextBlock{{}, kFigures} : wrapped(row.advice, kFigures, kWordsWidth)});
            rows_height_ += rows_.back().height() + kRowGap;
        }
    }

    Picture8 drawn() const {
        const double head = kMargin + headline_.height() + why_.height() + 26 + kPictureWords;
        const double body = std::max<double>(picture_.rows() + 34, rows_height_);
        const double height = head + body + 16 + foot_.height() + kMargin;
        Canvas canvas(width_, static_cast<int>(std::ceil(height)), ink::kPaper);
        canvas.block(kMargin, kMargin - 8, headline_);
        canvas.block(kMargin, kMargin + headline_.height(), why_);
        draw_pictures(canvas, head);
        draw_rows(canvas, head);
        canvas.block(kMargin, height - kMargin - foot_.height(), foot_);
        return canvas.pixels();
    }

private:
    void draw_pictures(Canvas& canvas, double top) const {
        const int grey_left = kMargin + picture_.columns() + kBetween;
        canvas.text(kMargin, top - 10, "as dyed", kSmall);
        canvas.text(grey_left, top - 10, "in grey: light and dark alone", kSmall);
        canvas.picture(picture_, kMargin, static_cast<int>(top));
        canvas.picture(grey_, grey_left, static_cast<int>(top));
        canvas.rectangle(kMargin, top - 4, picture_.columns(), 2, ink::kText);
        canvas.rectangle(grey_left, top - 4, grey_.columns(), 2, ink::kText);
        const double scale = static_cast<double>(picture_.columns()) / sheet_.picture.columns();
        for (const std::vector<CanvasPoint>& line : sheet_.lost) {
            std::vector<CanvasPoint> placed;
            for (const CanvasPoint p : smoothed(line)) placed.push_back({kMargin + p.x * scale, top + p.y * scale});
            dashed(canvas, placed);
        }
        const double legend = top + picture_.rows() + 22;
        dashed(canvas, {{kMargin + 2.0, legend - 4}, {kMargin + 46.0, legend - 4}});
        canvas.text(kMargin + 56, legend, sheet_.lost.empty() ? "lost edges: none" : "lost edges", kSmall);
    }

    void draw_rows(Canvas& canvas, double top) const {
        const double x = rows_left_;
        if (rows_.empty()) return;
        canvas.text(x, top - 10, "as dyed", kSmall);
        canvas.text(x + kSwatchWidth + 12, top - 10, "on the stitches", kSmall);
        double y = top;
        for (const LaidOutRow& row : rows_) {
            draw_pair(canvas, x, y, row.row->darker, row.row->lighter);
            if (row.row->knitted.size() == 2)
                draw_pair(canvas, x + kSwatchWidth + 12, y, row.row->knitted[0], row.row->knitted[1]);
            else
                canvas.text(x + kSwatchWidth + 12, y + kSwatchHeight / 2.0 + 4, "too small to tell", kSmall);
            const double words = x + 2 * kSwatchWidth + 12 + 18;
            double line = y - 3;
            for (const TextBlock* block : {&row.names, &row.figures, &row.verdict, &row.advice}) {
                canvas.block(words, line, *block);
                line += block->height();
            }
            y += row.height() + kRowGap;
        }
    }

    const ContrastSheet& sheet_;
    Picture8 picture_, grey_;
    int rows_left_ = 0, width_ = 0;
    TextBlock headline_, why_, foot_;
    std::vector<LaidOutRow> rows_;
    double rows_height_ = 0;
};

}  // namespace

Picture8 contrast_sheet(const ContrastSheet& sheet) {
    return ContrastDrawing(sheet).drawn();
}

}  // namespace loopread
