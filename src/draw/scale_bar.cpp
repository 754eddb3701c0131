#include "draw/scale_bar.h"

#include <cmath>

#include "loopread/base/text.h"

namespace loopread {
namespace {

/// The longest round number of cm that has room.
double bar_cm(double pixels_per_cm, double room) {
    double best = 1;
    for (const double cm : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0})
        if (cm * pixels_per_cm <= room) best = cm;
    return best;
}

}  // namespace

void draw_scale_bar(Canvas& canvas, const ScaleBar& bar) {
    const double cm = bar_cm(bar.pixels_per_cm, bar.room);
    const double length = cm * bar.pixels_per_cm;
    const double thickness = std::round(bar.letters * 5 / 13);
    canvas.rectangle(bar.x, bar.y, length / 2, thickness, ink::kText);
    canvas.rectangle(bar.x + length / 2, bar.y, length / 2, thickness, ink::kRule);
    canvas.frame(bar.x + 0.5, bar.y + 0.5, length - 1, thickness - 1, ink::kText, 1);
    canvas.text(bar.x + length + 8, bar.y + std::round(bar.letters * 8 / 13), number_text(cm, 1) + " cm",
                {.size = bar.letters});
}

}  // namespace loopread
