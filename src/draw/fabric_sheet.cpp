#include "loopread/draw/fabric_sheet.h"

#include <algorithm>
#include <cmath>

#include "draw/scale_bar.h"
#include "loopread/base/require.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

constexpr int kMargin = 28;
constexpr int kGap = 34;
constexpr int kHead = 56;
constexpr int kFoot = 64;
constexpr int kNumbers = 64;

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
    draw_scale_bar(canvas, {.x = static_cast<double>(first),
                            .y = bottom + 40.0,
                            .pixels_per_cm = scale.pixels_per_cm,
                            .room = std::min(260.0, width - first - 100.0)});
    return canvas.pixels();
}

}  // namespace loopread
