#include "loopread/draw/palette_card.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

// Parts of the card's shorter side; chosen by eye.
constexpr double kMargin = 0.055;
constexpr double kHead = 0.165;
constexpr double kFoot = 0.075;
constexpr double kTitle = 0.046, kSubtitle = 0.024, kName = 0.031, kDetail = 0.0225, kFootLetters = 0.017;
constexpr double kBetweenLabels = 0.012;
constexpr double kGutter = 0.06;  // between the wrap and the names: lines turn in there

struct Scale {
    double side = 0;  // pixels of the shorter one

    double of(double part) const { return part * side; }
    TextStyle style(double letters, Weight weight, Srgb8 colour) const {
        return {.size = std::round(2 * of(letters)) / 2, .weight = weight, .colour = colour};
    }
};

Scale scale_of(int columns, int rows) {
    return {static_cast<double>(std::min(columns, rows))};
}

/// Name over detail, as tall as both.
struct BandLabel {
    TextBlock name, detail;
    double height() const { return name.height() + detail.height(); }
};

std::vector<BandLabel> labels_at(const PaletteCard& card, const Scale& scale, double room, double times) {
    std::vector<BandLabel> labels;
    for (const PaletteBand& band : card.bands)
        labels.push_back({balanced(band.name, scale.style(kName * times, Weight::bold, ink::kText), room),
                          wrapped(band.detail, scale.style(kDetail * times, Weight::normal, ink::kQuiet), room)});
    return labels;
}

/// Many colours share the height: letters then grow smaller, down to what can still be read; then long names are cut
/// short.
std::vector<BandLabel> labels_of(const PaletteCard& card, const Scale& scale, double room) {
    constexpr double kSmallest = 0.5, kStep = 0.05;
    const auto height = [&](const std::vector<BandLabel>& labels) {
        double sum = 0;
        for (const BandLabel& label : labels) sum += label.height() + scale.of(kBetweenLabels);
        return sum - scale.of(kBetweenLabels);
    };
    std::vector<BandLabel> labels;
    for (double times = 1; times > kSmallest; times -= kStep) {
        labels = labels_at(card, scale, room, times);
        if (height(labels) <= card.wrap.rows()) return labels;
    }
    for (BandLabel& label : labels) label.name.lines.resize(std::min<std::size_t>(label.name.lines.size(), 1));
    return labels;
}

/// A line from the middle of a band to its name.
void draw_leader(Canvas& canvas, CanvasPoint from, CanvasPoint to, const Scale& scale) {
    const double turn = (to.x - from.x) * 0.3;
    canvas.polyline({from, {from.x + turn, from.y}, {to.x - turn, to.y}, to}, {ink::kRule, scale.of(0.0016)});
}

void draw_labels(Canvas& canvas, const PaletteCard& card, const Scale& scale, const WrapRoom& room) {
    const double edge = room.x + card.wrap.columns(), names = edge + scale.of(kGutter);
    const std::vector<BandLabel> labels = labels_of(card, scale, card.columns - scale.of(kMargin) - names);
    std::vector<LabelWish> wishes;
    for (std::size_t i = 0; i < labels.size(); ++i)
        wishes.push_back({room.y + (card.bands[i].top + card.bands[i].end) / 2, labels[i].height()});
    const std::vector<double> middles =
        places_apart(wishes, room.y, room.y + card.wrap.rows(), scale.of(kBetweenLabels));
    for (std::size_t i = 0; i < labels.size(); ++i) {
        const double top = std::round(middles[i] - labels[i].height() / 2);
        draw_leader(canvas, {edge + scale.of(0.004), wishes[i].middle}, {names - scale.of(0.012), middles[i]}, scale);
        canvas.block(names, top, labels[i].name);
        canvas.block(names, top + labels[i].name.height(), labels[i].detail);
    }
}

}  // namespace

WrapRoom wrap_room(int columns, int rows) {
    require(columns > 0 && rows > 0, "a card has a size");
    const Scale scale = scale_of(columns, rows);
    const int x = static_cast<int>(std::lround(scale.of(kMargin))), y = static_cast<int>(std::lround(scale.of(kHead)));
    return {x, y, std::max(1, static_cast<int>(std::lround(0.5 * columns)) - x),
            std::max(1, rows - y - static_cast<int>(std::lround(scale.of(kFoot))))};
}

Picture8 palette_card(const PaletteCard& card) {
    require(!card.wrap.empty() && !card.bands.empty(), "there are colours");
    const Scale scale = scale_of(card.columns, card.rows);
    const WrapRoom room = wrap_room(card.columns, card.rows);
    Canvas canvas(card.columns, card.rows, card.paper);
    const double margin = scale.of(kMargin), words = card.columns - 2 * margin;
    TextBlock title = wrapped(card.title, scale.style(kTitle, Weight::bold, ink::kText), words);
    if (title.lines.size() > 1)
        title = balanced(card.title, scale.style(0.62 * kTitle, Weight::bold, ink::kText), words);
    TextBlock subtitle = wrapped(card.subtitle, scale.style(kSubtitle, Weight::normal, ink::kQuiet), words);
    constexpr std::size_t kMostTitleLines = 2;  // a head has no room for more
    if (title.lines.size() > kMostTitleLines) title.lines.resize(kMostTitleLines);
    if (subtitle.lines.size() > 1) subtitle.lines.resize(1);
    const double top = std::max(0.25 * margin, room.y - scale.of(0.028) - title.height() - subtitle.height());
    canvas.block(margin, std::round(top), title);
    canvas.block(margin, std::round(top + title.height()), subtitle);
    canvas.picture(card.wrap, room.x, room.y);
    draw_labels(canvas, card, scale, room);
    TextStyle foot = scale.style(kFootLetters, Weight::normal, ink::kQuiet);
    foot.align = Align::right;
    canvas.text(card.columns - margin, card.rows - scale.of(0.026), card.foot, foot);
    return canvas.pixels();
}

}  // namespace loopread
