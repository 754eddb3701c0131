#include "loopread/draw/overview.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"
#include "loopread/raster/ribbon.h"

namespace loopread {
namespace {

constexpr int kMargin = 30;
constexpr int kHead = 64;
constexpr int kFoot = 40;
constexpr int kBetween = 56;
constexpr int kYarnWidth = 300;
constexpr int kRibbon = 11;
constexpr int kPair = 2 * kRibbon + 11;  // from one line of yarn to the next

/// The yarn from its first end on, in as many lines as the height takes.
void draw_yarn(Canvas& canvas, const Overview& overview, int x, int height) {
    const auto strands = static_cast<int>(overview.strands.size());
    const int step = strands == 2 ? kPair : kRibbon + 11;
    const int lines = height / step;
    const double length = overview.strands.front().length_mm();
    const double line_mm = length / lines;
    for (int line = 0; line < lines; ++line)
        for (int s = 0; s < strands; ++s) {
            const ColourRun& run = overview.strands[static_cast<std::size_t>(s)];
            const double from = line * line_mm;
            const double to = std::min(from + line_mm, run.length_mm());
            const int width = static_cast<int>(std::lround((to - from) / line_mm * kYarnWidth));
            if (to <= from || width < 1) continue;
            canvas.picture(encoded(ribbon(run, {from, to, width, kRibbon, overview.loop_mm})), x,
                           kHead + line * step + s * (kRibbon + 1));
        }
}

void heading(Canvas& canvas, int x, const std::string& title, const std::string& words) {
    canvas.text(x, 34, title, {.size = 18, .weight = Weight::bold});
    canvas.text(x, 53, words, {.size = 12.5, .colour = ink::kQuiet});
}

void arrow(Canvas& canvas, int x, int y) {
    canvas.line(x, y, x + 26, y, ink::kQuiet, 2);
    canvas.line(x + 18, y - 7, x + 26, y, ink::kQuiet, 2);
    canvas.line(x + 18, y + 7, x + 26, y, ink::kQuiet, 2);
}

}  // namespace

Picture8 overview_picture(const Overview& overview) {
    require(!overview.strands.empty() && !overview.fabric.empty(), "there is yarn and fabric");
    int height = overview.blank.rows();
    int width = kMargin + overview.blank.columns() + kBetween + kYarnWidth + kBetween;
    for (const FabricPanel& panel : overview.fabric) {
        height = std::max(height, panel.fabric.rows());
        width += panel.fabric.columns() + kMargin;
    }
    Canvas canvas(width, kHead + height + kFoot, ink::kPaper);
    int x = kMargin;
    heading(canvas, x, "The blank", "ravel edge on top");
    canvas.picture(overview.blank, x, kHead);
    x += overview.blank.columns();
    arrow(canvas, x + (kBetween - 26) / 2, kHead + height / 2);
    x += kBetween;
    heading(canvas, x, "The yarn",
            overview.strands.size() == 2 ? "ball A over ball B, as it comes off" : "as it comes off");
    draw_yarn(canvas, overview, x, height);
    x += kYarnWidth;
    arrow(canvas, x + (kBetween - 26) / 2, kHead + height / 2);
    x += kBetween;
    for (const FabricPanel& panel : overview.fabric) {
        heading(canvas, x, panel.title, panel.caption);
        canvas.picture(encoded(panel.fabric), x, kHead + height - panel.fabric.rows());
        const double bar = 5 * overview.fabric_pixels_per_cm;
        canvas.rectangle(x, kHead + height + 12, bar, 4, ink::kText);
        canvas.text(x + bar + 8, kHead + height + 19, "5 cm", {.size = 12});
        x += panel.fabric.columns() + kMargin;
    }
    return canvas.pixels();
}

}  // namespace loopread
