#include "loopread/draw/pooling_chart.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

constexpr int kWidth = 1500;
constexpr int kMargin = 48;
constexpr double kRoom = kWidth - 2 * kMargin;
constexpr double kLeft = kMargin + 48;             // of the plot: room for "100"
constexpr double kRight = kWidth - kMargin - 168;  // room for the names of the lines
constexpr double kPlotHeight = 380;
constexpr double kScaleHeight = 56;  // the stitch scale over the plot, with its title
constexpr double kLeaders = 30;      // between the labels and the lines they name
constexpr double kUnder = 80;        // the yarn scale under the plot
constexpr double kLabelGap = 18;
constexpr double kNear = 110;            // pixels a label may stand beside what it names before its words are broken
constexpr double kNarrowestLabel = 104;  // below this, labels break into too many lines: they are listed instead
constexpr double kUsualFromCm = 75, kUsualToCm = 100;  // common practice, no source

constexpr Srgb8 kPlot{0xff, 0xff, 0xff};
constexpr Srgb8 kGrid{0xec, 0xe8, 0xe1};
constexpr Srgb8 kRisk{0x2f, 0x4d, 0x66};
constexpr Srgb8 kByTurns{0x9a, 0x5b, 0x2b};
constexpr Srgb8 kClear{0xdf, 0xeb, 0xdc};
constexpr Srgb8 kClearEdge{0x4f, 0x7a, 0x52};
constexpr Srgb8 kAsked{0x7d, 0x2e, 0x3f};
constexpr double kBandOpacity = 0.17;  // of kRisk: the grid and the shading of clear stretches show through

constexpr TextStyle kHeadline{.size = 27, .weight = Weight::bold};
constexpr TextStyle kSubtitle{.size = 15, .colour = ink::kQuiet};
constexpr TextStyle kHowSure{.size = 18};
constexpr TextStyle kAxis{.size = 13, .colour = ink::kQuiet};
constexpr TextStyle kNumber{.size = 13};
constexpr TextStyle kFours{.size = 13, .weight = Weight::bold};
constexpr TextStyle kLabel{.size = 13.5};
constexpr TextStyle kFlag{.size = 13.5, .weight = Weight::bold, .colour = {0xff, 0xff, 0xff}};
constexpr TextStyle kTitle{.size = 17, .weight = Weight::bold};
constexpr TextStyle kCaption{.size = 13.5, .colour = ink::kQuiet};
constexpr TextStyle kAdvice{.size = 16};

TextStyle placed(TextStyle style, Align align) {
    style.align = align;
    return style;
}

/// Values to pixels.
struct Axis {
    double from = 0, to = 1, low = 0, high = 1;
    double at(double value) const { return low + (value - from) / (to - from) * (high - low); }
    double pixels(double length) const { return std::abs(at(length) - at(0)); }
};

/// Over all that is to be seen, with a little air, and never so narrow that its ticks say nothing.
Axis yarn_axis(const PoolingChart& chart) {
    double from = chart.asked_cm, to = chart.asked_cm;
    for (const PoolingChartPoint& point : chart.points) {
        from = std::min(from, point.yarn_per_round_cm);
        to = std::max(to, point.yarn_per_round_cm);
    }
    const double air = std::max(0.015 * (to - from), 6 - (to - from) / 2);
    return {from - air, to + air, kLeft, kRight};
}

/// The smallest of some round steps that keeps marks so many pixels apart.
double round_step(const Axis& axis, double first, double apart) {
    for (double ten = first; ten < 1e9; ten *= 10)
        for (const double step : {ten, 2 * ten, 4 * ten})
            if (axis.pixels(step) >= apart) return step;
    return first;
}

/// No line ends between a number and its unit.
std::string with_units(std::string words) {
    for (std::size_t at = words.find(" cm"); at != std::string::npos; at = words.find(" cm", at))
        words.replace(at, 1, "\xc2\xa0");  // a space that does not break, in UTF-8
    return words;
}

/// A label of the row over the lines and where it points.
struct Label {
    TextBlock words;
    double from = 0, to = 0;  // pixels along the axis
    enum class Names { clear_stretch, asked } names = Names::clear_stretch;

    double target() const { return (from + to) / 2; }
    double padding() const { return names == Names::asked ? 20 : 0; }
    double width() const { return words.width() + padding(); }
};

class PoolingSheet {
public:
    explicit PoolingSheet(const PoolingChart& chart)
        : chart_(chart),
          x_(yarn_axis(chart)),
          headline_(balanced(chart.headline, kHeadline, kRoom)),
          how_sure_(chart.how_sure.empty() ? TextBlock{{}, kHowSure} : balanced(chart.how_sure, kHowSure, kRoom)),
          subtitle_(wrapped(chart.subtitle, kSubtitle, kRoom)),
          labels_(labels()),
          notes_(wrapped(notes(), kLabel, kRoom)) {
        double label_height = 0;
        for (const Label& label : labels_) label_height = std::max(label_height, label.words.height());
        below_headline_ = kMargin + headline_.height() + 2 + (how_sure_.lines.empty() ? 0 : how_sure_.height() + 6);
        scale_ = below_headline_ + 4 + subtitle_.height() + 26 + kScaleHeight;
        label_bottom_ = scale_ + 16 + label_height;
        y_ = {0, 100, label_bottom_ + kLeaders + kPlotHeight, label_bottom_ + kLeaders};
        keys_ = keys();
        notes_top_ = y_.low + kUnder;
        for (const Key& key : keys_) notes_top_ += key.words.height() + 6;
        if (!keys_.empty()) notes_top_ += 4;
        below_ = notes_top_ + (notes_.lines.empty() ? 0 : notes_.height() + 16);
    }

    Picture8 drawn() {
        // Laid out twice: on a sheet of no size, to learn how tall it has to be, and then for good.
        Canvas trial(1, 1, ink::kPaper);
        const double height = below_chart(trial);
        Canvas canvas(kWidth, static_cast<int>(std::ceil(height)), ink::kPaper);
        canvas.block(kMargin, kMargin - 8, headline_);
        if (!how_sure_.lines.empty()) canvas.block(kMargin, kMargin + headline_.height() + 4, how_sure_);
        canvas.block(kMargin, below_headline_, subtitle_);
        ground(canvas);
        bands(canvas);
        risk_scale(canvas);
        stitch_scale(canvas);
        yarn_scale(canvas);
        labels_with_leaders(canvas);
        asked_span(canvas);
        lines(canvas);
        line_names(canvas);
        explained_keys(canvas);
        canvas.block(kMargin, notes_top_, notes_);
        below_chart(canvas);
        return canvas.pixels();
    }

private:
    // ---- words
    std::vector<Label> labels() const {
        const std::string asked =
            "yours: " + number_text(chart_.asked_cm, 1) + " cm, " + std::to_string(chart_.asked_stitches) + " stitches";
        const double at = x_.at(chart_.asked_cm);
        std::vector<Label> all = {{wrapped(with_units(asked), kFlag, kRoom), at, at, Label::Names::asked}};
        if (!listed())
            for (const PoolingChartStretch& stretch : chart_.clear)
                all.push_back(
                    {wrapped(with_units(stretch.label), kLabel, kRoom), x_.at(stretch.from_cm), x_.at(stretch.to_cm)});
        std::stable_sort(all.begin(), all.end(),
                         [](const Label& a, const Label& b) { return a.target() < b.target(); });
        return shaped(all);
    }
    /// In one line each where that leaves them near what they name, else broken into ever narrower columns.
    static std::vector<Label> shaped(const std::vector<Label>& all) {
        std::vector<Label> best = all;
        double least = farthest_moved(all);
        for (const double room : {150.0, 126.0, kNarrowestLabel}) {
            if (least <= kNear) break;
            std::vector<Label> labels = all;
            for (Label& label : labels)
                label.words = wrapped(in_two_lines(label), label.words.style,
                                      std::min(room, label_share(all.size())) - label.padding());
            const double moved = farthest_moved(labels);
            if (moved >= least) continue;
            least = moved;
            best = labels;
        }
        return best;
    }
    /// Yarn in one line, stitches in the next.
    static std::string in_two_lines(const Label& label) {
        std::string words = label.words.lines.empty() ? "" : label.words.lines.front();
        const std::size_t end = words.find(label.names == Label::Names::asked ? ", " : ": ");
        if (end != std::string::npos) words[end + 1] = '\n';
        return words;
    }
    static double farthest_moved(const std::vector<Label>& labels) {
        const std::vector<double> middles = label_middles(labels);
        double farthest = middles.back() + labels.back().width() / 2 > kRight - 7 ? 1e6 : 0;  // they do not fit
        for (std::size_t i = 0; i < labels.size(); ++i)
            farthest = std::max(farthest, std::abs(middles[i] - labels[i].target()));
        return farthest;
    }
    static std::vector<double> label_middles(const std::vector<Label>& labels) {
        std::vector<LabelWish> wishes;
        for (const Label& label : labels) wishes.push_back({label.target(), label.width()});
        return places_apart(wishes, kLeft + 8, kRight - 8, kLabelGap);
    }
    /// What each label can have where all share the row alike.
    static double label_share(std::size_t labels) {
        const auto count = static_cast<double>(labels);
        return (kRight - kLeft - 16 - (count - 1) * kLabelGap) / count;
    }
    bool listed() const { return label_share(chart_.clear.size() + 1) < kNarrowestLabel; }

    /// What the row of labels cannot say.
    std::string notes() const {
        if (chart_.clear.empty()) return "No stretch of this chart is clear (" + clear_words() + ").";
        if (!listed()) return "";
        std::string words = "Clear, shaded (" + clear_words() + "): ";
        for (std::size_t i = 0; i < chart_.clear.size(); ++i) words += (i == 0 ? "" : "; ") + chart_.clear[i].label;
        return words + ".";
    }
    std::string clear_words() const { return "pools for " + clear_count() + " of 100 knitters"; }
    std::string clear_count() const {
        const std::string count = number_text(chart_.clear_risk * 100, 0);
        return count == "0" ? "none" : count + " or fewer";
    }
    bool by_turns() const {
        return std::any_of(chart_.points.begin(), chart_.points.end(),
                           [](const auto& point) { return point.risk_alternated.has_value(); });
    }

    // ---- the plot
    void ground(Canvas& canvas) const {
        canvas.rectangle(kLeft, scale_, kRight - kLeft, y_.low - scale_, kPlot);
        for (const PoolingChartStretch& stretch : chart_.clear) {
            const double from = std::round(shown(stretch.from_cm)), to = std::round(shown(stretch.to_cm));
            canvas.rectangle(from, y_.high, to - from, y_.low - y_.high, kClear);
        }
    }
    double shown(double cm) const { return std::clamp(x_.at(cm), kLeft, kRight); }

    // ---- what was not measured
    /// Over stretches of neighbouring counts: nothing is claimed of counts that were not looked at.
    void bands(Canvas& canvas) const {
        std::vector<CanvasPoint> upper, lower;
        const auto end_of_band = [&] {
            upper.insert(upper.end(), lower.rbegin(), lower.rend());
            if (upper.size() > 2) canvas.polygon(upper, kRisk, kBandOpacity);
            upper.clear();
            lower.clear();
        };
        int last = 0;
        for (const PoolingChartPoint& point : chart_.points) {
            if (!point.band || point.stitches != last + 1) end_of_band();
            last = point.stitches;
            if (!point.band) continue;
            upper.push_back(place(point, point.band->to));
            lower.push_back(place(point, point.band->from));
        }
        end_of_band();
    }
    void asked_span(Canvas& canvas) const {
        if (!chart_.asked_span) return;
        const PoolingChartSpan& span = *chart_.asked_span;
        const double y = std::round(y_.low) - 13;
        const double from = std::round(shown(span.from)), to = std::round(shown(span.to));
        canvas.rectangle(from, y - 1, to - from, 3, kAsked);
        // No end where it goes on beyond the chart.
        if (x_.from <= span.from) span_end(canvas, from, y);
        if (x_.to >= span.to) span_end(canvas, to - 2, y);
    }
    static void span_end(Canvas& canvas, double x, double y) { canvas.rectangle(x, y - 5, 2, 11, kAsked); }
    struct Key {
        TextBlock words;
        enum class Names { band, span } names = Names::band;
    };
    std::vector<Key> keys() const {
        std::vector<Key> all;
        const double room = kRoom - 46;
        if (!chart_.band_is.empty()) all.push_back({wrapped(chart_.band_is, kLabel, room), Key::Names::band});
        if (chart_.asked_span && !chart_.span_is.empty())
            all.push_back({wrapped(chart_.span_is, kLabel, room), Key::Names::span});
        return all;
    }
    void explained_keys(Canvas& canvas) const {
        double top = y_.low + kUnder;
        for (const Key& key : keys_) {
            const double middle = std::round(top + key.words.line_height() / 2);
            if (key.names == Key::Names::band) {
                canvas.polygon({{kMargin, middle - 7},
                                {kMargin + 34.0, middle - 7},
                                {kMargin + 34.0, middle + 7},
                                {kMargin, middle + 7}},
                               kRisk, kBandOpacity);
                canvas.polyline({{kMargin, middle}, {kMargin + 34.0, middle}}, {kRisk, 2.2});
            } else {
                canvas.rectangle(kMargin, middle - 1, 34, 3, kAsked);
                span_end(canvas, kMargin, middle);
                span_end(canvas, kMargin + 32, middle);
            }
            canvas.block(kMargin + 46, top, key.words);
            top += key.words.height() + 6;
        }
    }

    void risk_scale(Canvas& canvas) const {
        canvas.text(kMargin, scale_ - 36, "knitters out of 100 whose knitting pools", kAxis);
        for (int knitters = 0; knitters <= 100; knitters += 20) {
            const double y = std::round(y_.at(knitters)) + 0.5;
            canvas.line(kLeft, y, kRight, y, kGrid, 1);
            canvas.line(kLeft - 5, y, kLeft, y, ink::kQuiet, 1);
            canvas.text(kLeft - 10, y + 4.5, std::to_string(knitters), placed(kNumber, Align::right));
        }
        const double clear = std::round(y_.at(100 * chart_.clear_risk)) + 0.5;
        canvas.polyline({{kLeft, clear}, {kRight, clear}}, {kClearEdge, 1.5, {2, 4}});
    }

    bool labelled(const PoolingChartPoint& point, int step) const { return point.stitches % step == 0; }
    /// Which counts carry a number: fours, or so many fours that the numbers keep apart; all where there are no fours.
    int labelled_step() const {
        for (int step = 4;; step += 4) {
            double last = -1e9;
            int count = 0;
            bool apart = true;
            for (const PoolingChartPoint& point : chart_.points) {
                if (!labelled(point, step)) continue;
                const double at = x_.at(point.yarn_per_round_cm);
                apart = apart && at - last >= 34;
                last = at;
                ++count;
            }
            if (count == 0) return 1;
            if (apart) return step;
        }
    }
    void stitch_scale(Canvas& canvas) const {
        canvas.text(kRight, scale_ - 36, "stitches in one round at this gauge", placed(kAxis, Align::right));
        canvas.line(kLeft, scale_ + 0.5, kRight, scale_ + 0.5, ink::kQuiet, 1);
        const int step = labelled_step();
        double last = -1e9;
        for (const PoolingChartPoint& point : chart_.points) {
            const double x = std::round(x_.at(point.yarn_per_round_cm)) + 0.5;
            const bool four = point.stitches % 4 == 0;
            canvas.line(x, scale_ - (four ? 8 : 4), x, scale_, ink::kQuiet, four ? 1.5 : 1);
            if (!labelled(point, step) || x - last < 34) continue;
            canvas.line(x, scale_ + 1, x, y_.low, kGrid, 1);
            canvas.text(x, scale_ - 13, std::to_string(point.stitches), placed(kFours, Align::middle));
            last = x;
        }
    }

    void yarn_scale(Canvas& canvas) const {
        const double y = std::round(y_.low) + 0.5;
        canvas.line(kLeft, y, kRight, y, ink::kText, 1);
        canvas.line(kLeft + 0.5, scale_, kLeft + 0.5, y, ink::kRule, 1);
        canvas.line(kRight - 0.5, scale_, kRight - 0.5, y, ink::kRule, 1);
        const double tick = round_step(x_, 5, 6), number = round_step(x_, 5, 46);
        for (double k = std::ceil(x_.from / tick - 1e-9); k * tick <= x_.to + 1e-9; ++k) {
            const double x = std::round(x_.at(k * tick)) + 0.5;
            const bool numbered = std::abs(std::remainder(k * tick, number)) < 1e-6;
            canvas.line(x, y, x, y + (numbered ? 8 : 5), ink::kText, 1);
            if (numbered) canvas.text(x, y + 23, number_text(k * tick, 0), placed(kNumber, Align::middle));
        }
        usual_rounds(canvas, y);
    }

    /// A brace under the lengths that are knitted most, and the title of the scale where that leaves room.
    void usual_rounds(Canvas& canvas, double axis) const {
        const std::string title = "cm of yarn in one round", usual = "75 to 100 cm: the rounds customers knit";
        const double from = shown(kUsualFromCm), to = shown(kUsualToCm), top = axis + 31, baseline = axis + 56;
        if (to - from < 1) {
            canvas.text(kLeft, baseline, title, kAxis);
            return;
        }
        // No end where the range goes on beyond the chart.
        canvas.line(from, top + 6, to, top + 6, ink::kQuiet, 1.5);
        if (x_.from <= kUsualFromCm) canvas.line(from, top, from, top + 6.75, ink::kQuiet, 1.5);
        if (x_.to >= kUsualToCm) canvas.line(to, top, to, top + 6.75, ink::kQuiet, 1.5);
        const double half = canvas.text_width(usual, kAxis) / 2;
        const double middle = std::clamp((from + to) / 2, kLeft + half, kRight - half);
        canvas.text(middle, baseline, usual, placed(kAxis, Align::middle));
        const bool left_free = kLeft + canvas.text_width(title, kAxis) + 24 < middle - half;
        canvas.text(left_free ? kLeft : kRight, baseline, title, placed(kAxis, left_free ? Align::left : Align::right));
    }

    // ---- labels over the lines
    void labels_with_leaders(Canvas& canvas) const {
        const std::vector<double> middles = label_middles(labels_);
        for (std::size_t i = 0; i < labels_.size(); ++i)
            if (labels_[i].names == Label::Names::asked)
                asked_mark(canvas, labels_[i], middles[i]);
            else
                clear_label(canvas, labels_[i], middles[i]);
    }

    /// Straight down where the label stands over what it names, else slanting.
    double leader_start(const Label& label, double middle) const {
        const double reach = std::max(0.0, label.width() / 2 - 6);
        return std::clamp(label.target(), middle - reach, middle + reach);
    }
    void words_over(Canvas& canvas, const Label& label, double middle) const {
        TextBlock words = label.words;
        words.style.align = Align::middle;
        canvas.block(middle, label_bottom_ - words.height() - 3, words);
    }
    void clear_label(Canvas& canvas, const Label& label, double middle) const {
        const double top = y_.high;
        canvas.polyline({{leader_start(label, middle), label_bottom_ + 4}, {label.target(), top - 1}},
                        {kClearEdge, 1.2});
        canvas.polyline({{label.from, top + 7}, {label.from, top}, {label.to, top}, {label.to, top + 7}},
                        {kClearEdge, 2});
        canvas.rectangle(middle - label.width() / 2 - 3, label_bottom_ - label.words.height() - 3, label.width() + 6,
                         label.words.height() + 4, kPlot);
        words_over(canvas, label, middle);
    }
    void asked_mark(Canvas& canvas, const Label& label, double middle) const {
        const double x = std::round(label.target()), bottom = std::round(y_.low);
        const double height = label.words.height() + 8;
        canvas.rectangle(std::round(middle - label.width() / 2), label_bottom_ - height + 4, std::round(label.width()),
                         height, kAsked);
        words_over(canvas, label, middle);
        canvas.polyline({{leader_start(label, middle), label_bottom_ + 3}, {x, y_.high - 6}}, {kAsked, 2});
        canvas.rectangle(x - 1, std::floor(y_.high) - 6, 2, bottom - std::floor(y_.high) + 6, kAsked);
        canvas.polygon({{x - 6, bottom + 8}, {x + 6, bottom + 8}, {x, bottom}}, kAsked, 1);
    }

    // ---- the lines
    CanvasPoint place(const PoolingChartPoint& point, double risk) const {
        return {x_.at(point.yarn_per_round_cm), y_.at(100 * std::clamp(risk, 0.0, 1.0))};
    }
    void lines(Canvas& canvas) const {
        std::vector<CanvasPoint> turns;  // may be known at some of the counts only
        for (const PoolingChartPoint& point : chart_.points)
            if (point.risk_alternated) turns.push_back(place(point, *point.risk_alternated));
        if (turns.size() > 1) canvas.polyline(turns, {kByTurns, 2.2, {8, 5}});
        std::vector<CanvasPoint> risk;
        const auto end_of_line = [&] {
            if (risk.size() > 1) canvas.polyline(risk, {kRisk, 2.2});
            risk.clear();
        };
        int last = 0;
        for (const PoolingChartPoint& point : chart_.points) {
            if (point.stitches != last + 1) end_of_line();  // nothing is claimed of counts that were not looked at
            risk.push_back(place(point, point.risk));
            last = point.stitches;
        }
        end_of_line();
        const bool small_dots =
            x_.pixels(chart_.points.back().yarn_per_round_cm - chart_.points.front().yarn_per_round_cm) >=
            6.0 * static_cast<double>(chart_.points.size() - 1);
        for (const PoolingChartPoint& point : chart_.points) {
            const bool four = point.stitches % 4 == 0;
            if (!four && !small_dots) continue;
            if (point.risk_alternated) {
                const CanvasPoint at = place(point, *point.risk_alternated);
                const double half = four ? 4.5 : 2.5;
                canvas.rectangle(at.x - half, at.y - half, 2 * half, 2 * half, kByTurns);
                if (four) canvas.rectangle(at.x - 2.5, at.y - 2.5, 5, 5, kPlot);
            }
            canvas.dot(place(point, point.risk), four ? 5 : 2.8, kRisk);
        }
    }

    /// The names at the right, each level with the end of its line as far as the others let it be.
    void line_names(Canvas& canvas) const {
        struct Name {
            TextBlock words;
            CanvasPoint end;
        };
        const double room = kWidth - kMargin - kRight - 30;
        const auto block = [&](const std::string& words, Srgb8 colour, Weight weight) {
            return wrapped(words, {.size = 13, .weight = weight, .colour = colour}, room);
        };
        std::vector<Name> names = {
            {block("clear: " + clear_count(), kClearEdge, Weight::normal), {kRight, y_.at(100 * chart_.clear_risk)}}};
        if (by_turns()) {
            const auto last = std::find_if(chart_.points.rbegin(), chart_.points.rend(),
                                           [](const auto& point) { return point.risk_alternated.has_value(); });
            names.push_back({block("two ends by turns (dashed, squares)", kByTurns, Weight::bold),
                             place(*last, *last->risk_alternated)});
            names.push_back({block("one ball at a time (solid, dots)", kRisk, Weight::bold),
                             place(chart_.points.back(), chart_.points.back().risk)});
        }
        std::stable_sort(names.begin(), names.end(), [](const Name& a, const Name& b) { return a.end.y < b.end.y; });
        std::vector<LabelWish> wishes;
        for (const Name& name : names) wishes.push_back({name.end.y, name.words.height()});
        const std::vector<double> middles = places_apart(wishes, y_.high - 8, y_.low + 12, 8);
        for (std::size_t i = 0; i < names.size(); ++i) {
            const Srgb8 colour = names[i].words.style.colour;
            canvas.polyline({names[i].end, {kRight + 2, names[i].end.y}, {kRight + 22, middles[i]}}, {colour, 1});
            canvas.block(kRight + 30, std::round(middles[i] - names[i].words.height() / 2), names[i].words);
        }
    }

    // ---- under the chart
    double below_chart(Canvas& canvas) const {
        double y = below_ + 14;
        constexpr std::size_t kMostInARow = 5;
        for (std::size_t first = 0; first < chart_.swatches.size(); first += kMostInARow)
            y = swatch_row(canvas, first, std::min(first + kMostInARow, chart_.swatches.size()), y) + 34;
        for (const std::string& words : chart_.advice) {
            const TextBlock paragraph = wrapped(words, kAdvice, 1060);
            canvas.rectangle(kMargin, y + 3, 4, std::max(0.0, paragraph.height() - 3), ink::kRule);
            canvas.block(kMargin + 20, y, paragraph);
            y += paragraph.height() + 14;
        }
        return y + kMargin - (chart_.advice.empty() ? 34 : 14);
    }

    struct DrawnSwatch {
        Picture8 fabric;
        TextBlock title;
        std::vector<TextBlock> lines;
        double width = 0;
    };
    DrawnSwatch drawn_swatch(const PoolingSwatch& swatch, double room) const {
        DrawnSwatch drawn;
        drawn.fabric = fitted(swatch.fabric, static_cast<int>(room), 1200);
        drawn.width = std::min(room, std::max(drawn.fabric.columns() + 0.0, 320.0));
        drawn.title = wrapped(swatch.title, kTitle, drawn.width);
        for (const std::string& line : swatch.lines) drawn.lines.push_back(wrapped(line, kCaption, drawn.width));
        return drawn;
    }
    /// @return where the row ends
    double swatch_row(Canvas& canvas, std::size_t first, std::size_t end, double top) const {
        constexpr double kBetween = 36;
        const auto count = static_cast<double>(end - first);
        const double room = std::floor((kRoom - (count - 1) * kBetween) / count);
        std::vector<DrawnSwatch> row;
        double title_height = 0, bottom = top, x = kMargin;
        for (std::size_t i = first; i < end; ++i) row.push_back(drawn_swatch(chart_.swatches[i], room));
        for (const DrawnSwatch& swatch : row) title_height = std::max(title_height, swatch.title.height());
        for (const DrawnSwatch& swatch : row) {
            double y = std::round(top + title_height + 8);
            canvas.block(x, top, swatch.title);
            canvas.picture(swatch.fabric, static_cast<int>(std::lround(x)), static_cast<int>(y));
            y += swatch.fabric.rows() + 10;
            for (const TextBlock& line : swatch.lines) {
                canvas.block(x, y, line);
                y += line.height() + 2;
            }
            bottom = std::max(bottom, y);
            x += swatch.width + kBetween;
        }
        return bottom;
    }

    const PoolingChart& chart_;
    Axis x_;
    TextBlock headline_, how_sure_, subtitle_;
    std::vector<Label> labels_;
    TextBlock notes_;
    Axis y_;            // knitters; high is the upper end of the plot
    double scale_ = 0;  // the stitch scale's line
    std::vector<Key> keys_;
    double below_headline_ = 0, notes_top_ = 0;
    double label_bottom_ = 0;  // under the row of labels
    double below_ = 0;         // where the chart with its notes ends
};

}  // namespace

Picture8 pooling_chart(const PoolingChart& chart) {
    require(!chart.points.empty(), "there are points to draw");
    return PoolingSheet(chart).drawn();
}

}  // namespace loopread
