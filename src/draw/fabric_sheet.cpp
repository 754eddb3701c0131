#include "loopread/draw/fabric_sheet.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

constexpr int kMargin = 28;
constexpr int kGap = 34;
constexpr int kHead = 56;
constexpr int kFoot = 64;
constexpr int kNumbers = 64;

/// A round number of cm about a fifth of the sheet wide.
double bar_cm(double pixels_per_cm, double room) {
    double best = 1;
    for (const double cm : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0})
        if (cm * pixels_per_cm <= room) best = cm;
    return best;
}

void draw_scale(Canvas& canvas, double x, double y, const FabricSheetScale& scale, double room) {
    const double cm = bar_cm(scale.pixels_per_cm, room);
    const double length = cm * scale.pixels_per_cm;
    canvas.rectangle(x, y, length / 2, 5, ink::kText);
    canvas.rectangle(x + length / 2, y, length / 2, 5, ink::kRule);
    canvas.frame(x + 0.5, y + 0.5, length - 1, 4, ink::kText, 1);
    canvas.text(x + length + 8, y + 8, number_text(cm, 1) + " cm", {.size = 13});
}

void draw_rounds(Canvas& canvas, double x, double bottom, const FabricSheetScale& scale) {
    int step = 1000;
    for (const int s : {500, 200, 100, 50, 20, 10, 5, 2, 1})
        if (s * scale.pixels_per_round >= 44) step = s;
    for (int round = step; round <= scale.rounds; round += step) {
        const double y = std::round(bottom - round * scale.pixels_per_round) + 0.5;
        canvas.line(x - 8, y, x - 2, y, ink::kQuiet, 1);
        canvas.text(x - 12, y + 4, std::to_string(round), {.size = 12, .colour = ink::kQuiet, .align = Align::right});
    }
}

constexpr TextStyle kTitle{.size = 17, .weight = Weight::bold};
constexpr TextStyle kCaption{.size = 13, .colour = ink::kQuiet};

/// Of the fabric or of the words at it, whichever is wider.
int panel_width(const FabricPanel& panel) {
    const Canvas ruler(1, 1, ink::kPaper);
    const double words = std::max(ruler.text_width(panel.title, kTitle), ruler.text_width(panel.caption, kCaption));
    return std::max(panel.fabric.columns(), static_cast<int>(std::ceil(words)));
}

}  // namespace

Picture8 fabric_sheet(const std::vector<FabricPanel>& panels, const FabricSheetScale& scale) {
    require(!panels.empty(), "there is fabric to draw");
    const bool numbered = scale.pixels_per_round > 0;
    int width = kMargin + (numbered ? kNumbers : 0);
    int tallest = 0;
    for (const FabricPanel& panel : panels) {
        width += panel_width(panel) + kGap;
        tallest = std::max(tallest, panel.fabric.rows());
    }
    width = std::max(width - kGap + kMargin, 420);
    Canvas canvas(width, kHead + tallest + kFoot, ink::kPaper);
    int x = kMargin + (numbered ? kNumbers : 0);
    const int bottom = kHead + tallest;
    if (numbered) {
        draw_rounds(canvas, x, bottom, scale);
        canvas.text(x - 12, 36, scale.counting, {.size = 12, .colour = ink::kQuiet, .align = Align::right});
    }
    const int first = x;
    for (const FabricPanel& panel : panels) {
        canvas.picture(encoded(panel.fabric), x, bottom - panel.fabric.rows());
        canvas.text(x, 36, panel.title, kTitle);
        canvas.text(x, bottom + 22, panel.caption, kCaption);
        x += panel_width(panel) + kGap;
    }
    draw_scale(canvas, first, bottom + 40, scale, std::min(260.0, width - first - 100.0));
    return canvas.pixels();
}

}  // namespace loopread
